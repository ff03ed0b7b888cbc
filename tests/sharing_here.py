"""heddlecall in a local network that is this machine: python sharing_here.py thread FILE --share"""

import sys

from assistant.cli import main
from assistant.senses.page import door

HOST = "127.0.0.2"

if __name__ == "__main__":
    door.own_address = lambda: HOST
    sys.exit(main())
