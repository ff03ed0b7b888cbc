"""The order in which yarns follow each other over a group, and back: "2 flax, 1 rust".

A yarn without a count stands for one end of it; a hyphen in place of a yarn for ends whose yarn is not given.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain, cycle, groupby, islice, repeat
from typing import Any

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.model import Yarn
from assistant.warp.notation import MOST_NUMBER, period, too_large
from assistant.warp.spelling import did_you_mean, shown

Order = tuple[tuple[int, str], ...]  # so many ends of the yarn with this key; "" where no yarn is given

NOT_GIVEN = "-"
_FOR_INSTANCE = Tell("write for instance {example}", example="2 flax, 1 rust")


def parse(text: str, yarns: Mapping[str, Yarn]) -> Order:
    """The counts and yarns written in `text`. Raises SequenceError, whose `column` is the place in the text, from 1."""
    order, at = [], 0
    for entry in text.split(","):
        order.append(_entry(entry, at, yarns))
        at += len(entry) + 1
    return tuple(order)


def over(order: Order, ends: int) -> Iterable[str]:
    """The key of the yarn of each end: the order repeats, and is cut at the last end."""
    return islice(cycle(chain.from_iterable(repeat(key, count) for count, key in order)), ends)


def order_text(keys: Sequence[str]) -> str:
    """The shortest order that gives these keys: over(parse(text), len(keys)) are the keys again."""
    runs = [(len(list(run)), key or NOT_GIVEN) for key, run in groupby(keys[: period(keys)])]
    return ", ".join(key if count == 1 else f"{count} {key}" for count, key in runs)


def is_key(text: str) -> bool:
    """Whether a yarn may have this key: letters of any script, digits, underscores, hyphens; a letter first."""
    return not text.startswith("-") and text.replace("-", "_").isidentifier()


def _entry(entry: str, at: int, yarns: Mapping[str, Yarn]) -> tuple[int, str]:
    """One count and yarn; the entry begins at offset `at`."""
    words = [(word[0], at + word.start()) for word in re.finditer(r"\S+", entry)]
    if not words:
        raise _error("a yarn is missing beside this comma", "write the yarn, or take the comma out", max(at - 1, 0))
    count = _count(*words.pop(0)) if _is_number(words[0][0]) else 1
    if not words:
        raise _error("a yarn is missing after this number", _FOR_INSTANCE, at)
    (key, place), *rest = words
    if rest:
        word, before = rest[0]
        raise _error("a comma is missing before {word}", _FOR_INSTANCE, before, word=shown(word))
    if key == NOT_GIVEN:
        return count, ""
    if key not in yarns:
        example = f"{key}: {{name: {key}}}"
        todo = did_you_mean(key, yarns) or Tell("add it under yarns, for instance {example}", example=example)
        raise _error("there is no yarn called {name}", todo, place, name=shown(key))
    return count, key


def _is_number(word: str) -> bool:
    return word.isascii() and word.isdecimal()


def _count(digits: str, at: int) -> int:
    if len(digits) > len(str(MOST_NUMBER)):
        raise too_large(digits, at)
    if int(digits) == 0:
        raise _error("0 ends of a yarn", "write how many, or take the yarn out", at)
    return int(digits)


def _error(what: str, todo: str | Tell, offset: int, **places: Any) -> SequenceError:
    return SequenceError(what, todo, column=offset + 1, **places)
