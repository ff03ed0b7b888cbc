"""What a bundle runs: the command that was typed or, asked by the program itself, the voice process."""

import os
import sys

from assistant.senses.mouth import render

# PyInstaller has set it; what is started from here that is not of the bundle would load the bundle's libraries.
os.environ.pop("LD_LIBRARY_PATH", None)
if "LD_LIBRARY_PATH_ORIG" in os.environ:
    os.environ["LD_LIBRARY_PATH"] = os.environ.pop("LD_LIBRARY_PATH_ORIG")

if sys.argv[1:] == [render.BUNDLED]:
    render.main()
else:
    from assistant.__main__ import main

    sys.exit(main())
