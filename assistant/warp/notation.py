"""The shorthand in which weavers write a threading, and back: "edge, 3(1 2 3 4), 8..1".

1 2 3     ends, separated by spaces, commas or hyphens
1234      the same, on a loom of nine shafts or fewer
a..b      counts up or down, both included: 1..4 is 1 2 3 4
3/7       one end carried by two shafts
1*2       two ends in one heddle; 1..4*2 has two in each
~         an end that floats, in no heddle
n(…)      repeats: 2(1 2) is 1 2 1 2
mirror(…) backwards: 1..4 mirror(1..3) is 1 2 3 4 3 2 1
name      stands for a block
;         ends a call
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.brackets import HEAD, MIRROR, MOST_NUMBER, SEPARATORS, Shorthand, error_at, no_count, number
from assistant.warp.model import MOST_ENDS
from assistant.warp.spelling import did_you_mean, shown
from assistant.warp.threads import CALL_ENDS, FLOATING, CallMark, Hung, Item, Threaded

Shafts = tuple[int, ...]  # the shafts of one end
Ends = tuple[Shafts, ...]

LONG_RUN = 5  # ends; shorter runs are easier to read one by one
MOST_COMPACT = 9  # shafts of a loom on which ends may be written without a space between
FLOATS = "~"
NO_BLOCKS: Mapping[str, Threaded] = MappingProxyType({})

TIMES = r"(?: \* | \s+ \* \s+ )"  # in a verbose expression; in 1 2* 3 a number is missing

_PIECE = re.compile(
    rf"""
      (?P<space> \s+ )
    | (?P<mark>  [,;-] )
    | {HEAD}
    | (?P<first> [0-9]+ ) \s* \.\. \s* (?P<last> [0-9]+ ) (?: {TIMES} (?P<in_each> [0-9]+ ) )?
    | (?P<end>   ~ | [0-9]+ (?: \s* / \s* [0-9]+ )* ) (?: {TIMES} (?P<together> [0-9]+ ) )?
    | (?P<close> \) )
    | (?P<name>  [^\s,;\-()./*~0-9] [^\s,;\-()./*~]* )
    | (?P<stray> . )
    """,
    re.VERBOSE | re.DOTALL,
)


def parse(
    text: str, blocks: Mapping[str, Threaded] = NO_BLOCKS, shafts: int = MOST_NUMBER, most: int = MOST_ENDS
) -> Threaded:
    """The threading written in `text`, on shafts 1 to `shafts`, of no more than `most` ends.

    Raises SequenceError, whose `column` is the place in the text, counted from 1.
    """
    reading = _Threads(blocks, shafts, most)
    for piece in _PIECE.finditer(text):
        reading.take(piece)
    return Threaded(reading.finish())


def names(text: str) -> dict[str, int]:
    """The names of blocks used in the text, each with the offset where it is used first."""
    found: dict[str, int] = {}
    for piece in _PIECE.finditer(text):
        if piece.lastgroup == "name":
            found.setdefault(piece["name"], piece.start())
    return found


def is_name(text: str) -> bool:
    """Whether a block may be called this: letters of any script, digits, underscores; a letter first."""
    return text.isidentifier()


def is_compact(digits: str, shafts: int) -> bool:
    """Whether digits without a space between are an end each, on a loom of so many shafts."""
    return shafts <= MOST_COMPACT and len(digits.lstrip("0")) > 1


def notation(threading: Threaded) -> str:
    """The threading in short: parse(notation(threading)) has the same ends and calls."""
    items = _tidied(threading)
    part = period(items)
    times = len(items) // part if items else 0
    if 2 <= times <= MOST_NUMBER and times * part == len(items):
        return f"{times}({_row(items[:part])})"
    if items.count(CALL_ENDS) > 1:
        items.pop()
    return _row(items)


def period(items: Sequence[object]) -> int:
    """The smallest n > 0 with items[i] == items[i + n] throughout (Knuth, Morris and Pratt 1977)."""
    border = [0] * len(items)
    for i in range(1, len(items)):
        n = border[i - 1]
        while n and items[i] != items[n]:
            n = border[n - 1]
        border[i] = n + (items[i] == items[n])
    return max(1, len(items) - border[-1]) if items else 1


def _tidied(threading: Threaded) -> list[Item]:
    """Its items without marks that cut nothing; where any is left, one stands at the end."""
    found: list[Item] = []
    for item in threading.items:
        if not isinstance(item, CallMark) or (found and found[-1] is not item):
            found.append(item)
    if CALL_ENDS in found and found[-1] is not CALL_ENDS:
        found.append(CALL_ENDS)
    return found


def _row(items: list[Item]) -> str:
    return " ".join(_pieces(items)).replace(" ;", ";")


def _pieces(items: list[Item]) -> Iterator[str]:
    """The pieces that write the items, long counts up or down as a..b."""
    at = 0
    while at < len(items):
        item, length = items[at], 1
        if isinstance(item, CallMark):
            yield item.value
        else:
            last, length = _run(items, at, item)
            yield written(item) if length == 1 else f"{item.shafts[0]}..{written(last)}"
        at += length


def written(hung: Hung) -> str:
    """One heddle in the notation."""
    if not hung.shafts:
        return FLOATS
    shafts = "/".join(map(str, hung.shafts))
    return shafts if hung.ends == 1 else f"{shafts}*{hung.ends}"


def _run(items: list[Item], at: int, first: Hung) -> tuple[Hung, int]:
    """The last of the items from `at` on, `first`, that count up or down by one shaft each, and how many these are."""
    following = items[at + 1] if at + 1 < len(items) else first
    if isinstance(following, CallMark) or len(first.shafts) != 1 or len(following.shafts) != 1:
        return first, 1
    (shaft,), (beside,) = first.shafts, following.shafts
    if abs(step := beside - shaft) != 1:
        return first, 1
    last, length = first, 1
    for stop in range(at + 1, len(items)):
        following = Hung((last.shafts[0] + step,), first.ends)
        if items[stop] != following:
            break
        last, length = following, length + 1
    return (last, length) if length >= LONG_RUN else (first, 1)


class _Threads(Shorthand[Item]):
    """The threading read so far."""

    def __init__(self, blocks: Mapping[str, Threaded], shafts: int, most: int):
        super().__init__(most)
        self.blocks, self.shafts = blocks, shafts
        self.known: dict[str, tuple[Hung, ...]] = {}  # what was written, and what it stands for

    def take(self, piece: re.Match[str]) -> None:
        """Read one piece of the text."""
        if piece["name"] and not is_name(piece["name"]):
            raise self.stray(piece["name"], piece.start())
        super().take(piece)

    def item(self, piece: re.Match[str], at: int) -> None:
        """Take in ends, a count, or a block."""
        if piece["name"]:
            self._block(piece["name"], at)
        elif piece["first"]:
            self._count(piece, at)
        else:
            self._end(piece, at)

    def separate(self, mark: str, at: int) -> None:
        """A mark stands between two ends; one that ends a call may be the last."""
        super().separate(mark, at)
        if mark == CALL_ENDS.value:
            self.items.append(CALL_ENDS)

    def missing(self, mark: str, at: int, *, before: bool) -> SequenceError:
        """A complaint about a mark that separates nothing."""
        what = "a shaft is missing before this {mark}" if before else "a shaft is missing after this {mark}"
        named = SEPARATORS.get(mark) or Tell("semicolon")
        return error_at(at, what, "write the shaft, or take the {mark} out", mark=named)

    def stray(self, text: str, at: int) -> SequenceError:
        """A complaint about what is no piece at all."""
        match text[0]:
            case "(":
                return no_count(at)
            case ".":
                return error_at(at, "these dots do not join two shafts", "write 1..8 to count from 1 to 8")
            case "/":
                todo = "write 3/7 for one end on shafts 3 and 7"
                return error_at(at, "this / does not join two shafts", todo)
            case "*":
                todo = "write 3*2 for two ends in one heddle on shaft 3"
                return error_at(at, "this * does not stand between a shaft and a number", todo)
            case _:
                todo = "write 1 2 3, 1..8, 3(1 2), 3/7 or the name of a block"
                return error_at(at, "{text} cannot be read", todo, text=shown(text))

    def _count(self, piece: re.Match[str], at: int) -> None:
        first, last = self._shaft(piece["first"], at), self._shaft(piece["last"], piece.start("last"))
        ends = self._together(piece, "in_each")
        step = 1 if first <= last else -1
        self.room((abs(last - first) + 1) * ends, at)
        run = [Hung((shaft,), ends) for shaft in range(first, last + step, step)]
        self.add(run, len(run) * ends, at)

    def _block(self, name: str, at: int) -> None:
        if name not in self.blocks:
            if name == MIRROR:
                raise error_at(
                    at, "a bracket is missing after {name}", "write it right behind, as in mirror(1 2)", name=name
                )
            meant = [*self.blocks, *([MIRROR] if name.casefold().startswith(MIRROR) else [])]
            todo = did_you_mean(name, meant) or "write shafts as numbers, or add the block under blocks"
            raise error_at(at, "there is no block called {name}", todo, name=shown(name))
        self.add(self.blocks[name].items, self.blocks[name].count, at)

    def _end(self, piece: re.Match[str], at: int) -> None:
        if piece[0] not in self.known:
            self.known[piece[0]] = self._hung(piece, at)
        hung = self.known[piece[0]]
        self.add(hung, len(hung) * hung[0].ends, at)

    def _hung(self, piece: re.Match[str], at: int) -> tuple[Hung, ...]:
        """What an end, or several without a space between, stand for."""
        end, ends = piece["end"], self._together(piece, "together")
        self.room(ends, at)
        if end == FLOATS:
            return (FLOATING,) * ends
        if end.isdecimal() and is_compact(end, self.shafts):
            if piece["together"]:
                what = "here *{ends} may be meant for one end or for all of them"
                raise error_at(piece.end("end"), what, "put spaces between the ends, as in 1 2*2", ends=ends)
            self.room(len(end), at)
            return tuple(Hung((self._shaft(digit, at + place),)) for place, digit in enumerate(end))
        shafts = tuple(self._shaft(m[0], at + m.start()) for m in re.finditer("[0-9]+", end))
        if len(set(shafts)) < len(shafts):
            what = "this end is on one shaft twice: {end}"
            raise error_at(at, what, "name each shaft once", end=shown(end))
        return (Hung(shafts, ends),)

    def _together(self, piece: re.Match[str], name: str) -> int:
        """How many ends hang in one heddle."""
        if piece[name] is None:
            return 1
        ends = number(piece[name], piece.start(name))
        if ends == 0:
            raise error_at(piece.start(name), "0 times leaves nothing", "write how many times, or take it out")
        return ends

    def _shaft(self, digits: str, at: int) -> int:
        shaft = number(digits, at)
        if not 1 <= shaft <= self.shafts:
            raise error_at(at, "there is no shaft {shaft}", self._no_such(shaft), shaft=shaft)
        return shaft

    def _no_such(self, shaft: int) -> Tell:
        if shaft == 0:
            return Tell("shafts are numbered from 1")
        digits = str(shaft)
        if len(digits) == 1 or "0" in digits or self.shafts <= MOST_COMPACT:
            return Tell("this loom has shafts 1 to {most}", most=self.shafts)
        todo = "this loom has shafts 1 to {most}, and with ten or more ends need a space between: {ends}"
        return Tell(todo, most=self.shafts, ends=" ".join(digits))
