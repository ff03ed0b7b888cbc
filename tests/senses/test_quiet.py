"""Sound libraries write to file descriptor 2 behind Python's back."""

import subprocess
import sys

PROGRAM = """
import os, sys
from assistant.senses.portaudio import libraries_quiet
with libraries_quiet():
    os.write(2, b"ALSA lib noise\\n")
    print("shown", file=sys.stderr)
os.write(2, b"after\\n")
print("and after", file=sys.stderr)
"""


def test_only_what_python_writes_is_shown() -> None:
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True)
    assert done.stderr == "shown\nafter\nand after\n"
