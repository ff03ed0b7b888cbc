"""Profile drafts: the blocks of a pattern, which a key turns into a threading: "A 3B 2C B A".

A 3B      blocks, each a name of the key, with a number right before it for so many of it
n(…)      repeats
mirror(…) the blocks backwards
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.brackets import HEAD, SEPARATORS, Shorthand, error_at, no_count, number
from assistant.warp.model import MOST_ENDS
from assistant.warp.spelling import did_you_mean, shown
from assistant.warp.threads import CALL_ENDS, Hung, Item, Threaded

_PIECE = re.compile(
    rf"""
      (?P<space> \s+ )
    | (?P<mark>  [,-] )
    | {HEAD}
    | (?P<times> [0-9]+ )? (?P<block> [^\s,\-()0-9][^\s,\-()]* )
    | (?P<close> \) )
    | (?P<stray> [0-9]+ | . )
    """,
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class ProfileKey:
    """Which ends stand for each block of a profile.

    With a shared joint, the last end of a block and the first of the next are one where both are on the same shafts,
    and blocks in mirror(…) are threaded backwards, too.
    """

    blocks: Mapping[str, Threaded]
    shares_joints: bool = False
    calls_blocks: bool = False  # a call ends with each block


class _Block(NamedTuple):
    """One block of a profile, and whether it stands in a mirror."""

    name: str
    mirrored: bool = False


def parse(text: str, key: ProfileKey, most: int = MOST_ENDS) -> Threaded:
    """The threading that a profile comes to by the key, of no more than `most` ends.
    Raises SequenceError, whose `column` is the place in the text, counted from 1.
    """
    reading = _Profile(key, most)
    for piece in _PIECE.finditer(text):
        reading.take(piece)
    blocks = reading.finish()
    ready = {block: _Ready.of(key, block) for block in set(blocks)}
    found: list[Item] = []
    last: Hung | None = None
    for block in blocks:
        threads = ready[block]
        found += threads.joined if key.shares_joints and threads.first == last else threads.items
        found += [CALL_ENDS] * key.calls_blocks
        last = threads.last
    return Threaded(tuple(found))


class _Ready(NamedTuple):
    """What a block is threaded with, also without its first heddle, which is the last of the block before."""

    items: tuple[Item, ...]
    joined: tuple[Item, ...]
    first: Hung
    last: Hung

    @classmethod
    def of(cls, key: ProfileKey, block: _Block) -> "_Ready":
        threading = key.blocks[block.name]
        if block.mirrored and key.shares_joints:
            threading = threading.mirrored
        items, hung = threading.items, threading.hung
        at = items.index(hung[0])
        return cls(items, items[:at] + items[at + 1 :], hung[0], hung[-1])


class _Profile(Shorthand[_Block]):
    """The blocks read so far."""

    def __init__(self, key: ProfileKey, most: int):
        super().__init__(most)
        self.sizes = {name: block.count for name, block in key.blocks.items()}

    def item(self, piece: re.Match[str], at: int) -> None:
        """Take in a block, once or more often."""
        name, place = piece["block"], piece.start("block")
        if name not in self.sizes:
            raise error_at(place, "the key has no block called {name}", self._meant(name) or "", name=shown(name))
        times = number(piece["times"], at) if piece["times"] else 1
        if times == 0:
            raise error_at(at, "0 times leaves nothing", "write how many times, or take it out")
        self.room(self.sizes[name] * times, at)
        self.add([_Block(name)] * times, self.sizes[name] * times, at)

    def _meant(self, name: str) -> Tell | None:
        """What to do about a name that the key does not have: AABA, A3, or one that is not written right."""
        if all(letter in self.sizes for letter in name):
            return Tell("put spaces between the blocks: {blocks}", blocks=" ".join(name))
        block = name.rstrip("0123456789")
        if block in self.sizes:
            return Tell("write how many before the block: {blocks}", blocks=name[len(block) :] + block)
        return did_you_mean(name, self.sizes)

    def backwards(self, items: list[_Block]) -> list[_Block]:
        """What mirror(…) makes of them."""
        return [_Block(block.name, not block.mirrored) for block in reversed(items)]

    def missing(self, mark: str, at: int, *, before: bool) -> SequenceError:
        """A complaint about a mark that separates nothing."""
        what = "a block is missing before this {mark}" if before else "a block is missing after this {mark}"
        return error_at(at, what, "write the block, or take the {mark} out", mark=SEPARATORS[mark])

    def stray(self, text: str, at: int) -> SequenceError:
        """A complaint about what is no piece at all."""
        if text == "(":
            return no_count(at)
        todo = "write A 3B 2(A C) or mirror(A B), with the names of the key"
        return error_at(at, "{text} cannot be read", todo, text=shown(text))
