"""What a bundle runs: the command that was typed or, asked by the program itself, the voice process."""

import sys

from assistant.senses.mouth import render

if sys.argv[1:] == [render.BUNDLED]:
    render.main()
else:
    from assistant.__main__ import main

    sys.exit(main())
