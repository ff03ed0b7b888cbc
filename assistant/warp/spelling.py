"""What to say about a name that is not known."""

import os
import re
import shlex
from collections.abc import Iterable
from difflib import get_close_matches

from assistant.meaning import Tell

LONGEST_WORD = 40  # characters of a word worth comparing or showing
MOST_NAMES = 12  # names worth listing
PLAIN = re.compile(r"[\w@%+=:,./-]+")  # letters of any language: nothing to a shell
PLAIN_IN_WINDOWS = re.compile(r"[\w+=:./\\-]+")  # to cmd nor to PowerShell


def shown(text: str) -> str:
    """The text in quotes, on one line and cut where it is long."""
    return repr(text if len(text) <= LONGEST_WORD else text[: LONGEST_WORD - 1] + "…")


def typed(word: str) -> str:
    """The word as it is typed in a shell: in quotes where it needs them, by its bytes where it cannot be printed."""
    return typed_in_windows(word) if os.name == "nt" else _typed(word)


def typed_in_windows(word: str) -> str:
    """The word as cmd and PowerShell both take it: in double quotes, before which a program reads backslashes twice."""
    if PLAIN_IN_WINDOWS.fullmatch(word):
        return word
    return '"' + re.sub(r'(\\*)("|\Z)', lambda found: 2 * found[1] + ("\\" + found[2] if found[2] else ""), word) + '"'


def _typed(word: str) -> str:
    if word.isprintable():
        return word if PLAIN.fullmatch(word) else shlex.quote(word)
    plain = (c if c.isascii() and c.isprintable() and c not in "'\\" else _escaped(c) for c in word)
    return f"$'{''.join(plain)}'"


def _escaped(character: str) -> str:
    return "".join(f"\\{byte:03o}" for byte in os.fsencode(character))


def did_you_mean(word: str, known: Iterable[str]) -> Tell | None:
    """'did you mean …?' with the nearest of the known names, or a list of them; None where there are none."""
    names = list(known)
    near = get_close_matches(word, names, n=1) if len(word) <= LONGEST_WORD else []
    if near:
        return Tell("did you mean {name}?", name=shown(near[0]))
    listed = ", ".join(names[:MOST_NAMES]) + (", …" if len(names) > MOST_NAMES else "")
    return Tell("known here: {names}", names=listed) if names else None
