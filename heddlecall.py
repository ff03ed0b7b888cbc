"""What the command `heddlecall` starts: the `assistant` beside this file, whatever else Python would find so named."""

import os
import sys


def main() -> int:
    """Run the command that was typed, and return its exit code."""
    sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
    import assistant  # noqa: F401  (from here on its parts are looked for in it alone)

    del sys.path[0]
    from assistant.__main__ import main as ours

    return ours()
