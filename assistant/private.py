"""What is nobody else's business, struck out of what is to be sent. Imports nothing of ours."""

import os
import platform
from collections.abc import Iterable
from pathlib import Path

STRUCK_OUT = "…"


def struck_out(text: str, names: Iterable[str] = ()) -> str:
    """The same without these names, the user's and this machine's, and with the home folder as "~"."""
    home = str(Path.home())
    text = text.replace(home, "~") if len(home) > 1 else text
    own = (os.environ.get("USER", ""), os.environ.get("USERNAME", ""), platform.node())
    for name in sorted(filter(None, {*names, *own}), key=len, reverse=True):
        text = text.replace(name, STRUCK_OUT)
    return text
