"""A visit at the front door: a key, a choice or a text, and where it leads, or which command is to be run. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.front.leaves import at_first, opened
from assistant.front.values import HALL, Doing, Known, Leaf, LeafName, Opened, Pick, Words
from assistant.meaning import Tell

DIGITS = 9  # picks that a digit chooses; where there are more, the last digit turns the sheet
LONGEST_TEXT = 500  # characters that may be typed
BACK = ("escape", "q", "0", "backspace", "left", "/", "*")
CHOOSE = ("enter", "space", "right")
DOWN, UP = ("down", "tab", "+"), ("up", "shift+tab", "-")  # with those of a numeric keypad
MORE = Pick(Tell("more"))


@dataclass(frozen=True, slots=True)
class Errand:
    """Commands to be run, one after the other while each does well, and the leaf they lead to then."""

    lines: tuple[Words, ...]
    doing: Doing
    to: Leaf | None


@dataclass(frozen=True, slots=True)
class Visit:
    """Where one is."""

    way: tuple[Leaf, ...]  # from where one came in
    at: int = 0  # the pick that Enter chooses, of those on the sheet
    sheet: int = 0
    typed: str | None = None  # None: as the leaf has it at first
    said: str = ""  # what came of the command run last
    reading: tuple[str, ...] = ()  # what it printed, while that is read
    runs: Errand | None = None
    refused: bool = False  # a digit was pressed that chooses nothing
    left: bool = False

    @property
    def leaf(self) -> Leaf:
        """The leaf one is at."""
        return self.way[-1]


def entered(known: Known) -> Visit:
    """At the door."""
    return Visit((at_first(known),))


def on_sheet(visit: Visit, every: Sequence[Pick]) -> list[Pick]:
    """The picks that are shown, one a digit; with `MORE` as the last where there are others."""
    if len(every) <= DIGITS:
        return list(every)
    first = visit.sheet * (DIGITS - 1)
    return [*every[first : first + DIGITS - 1], MORE]


def press(visit: Visit, known: Known, key: str) -> Visit:
    """After a key; where it has commands run, the visit `runs` them until `done` is told."""
    if visit.runs:
        return visit
    visit = replace(visit, refused=False)
    if visit.reading:
        return replace(visit, reading=()) if key in (*BACK, *CHOOSE) else visit
    here = opened(visit.leaf, known)
    return _typed_at(visit, known, here, key) if here.asks else _chosen_at(visit, known, here, key)


def _chosen_at(visit: Visit, known: Known, here: Opened, key: str) -> Visit:
    picks = on_sheet(visit, here.picks)
    if key in BACK:
        return back(visit)
    if key in (*DOWN, *UP) and picks:
        return replace(visit, at=(visit.at + (1 if key in DOWN else -1)) % len(picks))
    if key in ("home", "end") and picks:
        return replace(visit, at=0 if key == "home" else len(picks) - 1)
    if key in CHOOSE and visit.at < len(picks):
        return _taken(visit, known, picks[visit.at], len(here.picks))
    if key.isdecimal() and key.isascii() and 0 < int(key) <= len(picks):
        return _taken(replace(visit, at=int(key) - 1), known, picks[int(key) - 1], len(here.picks))
    return replace(visit, refused=key.isdecimal())


def _typed_at(visit: Visit, known: Known, here: Opened, key: str) -> Visit:
    assert here.asks
    text = here.asks.value if visit.typed is None else visit.typed
    if key == "enter":
        return _taken(visit, known, here.asks.becomes(text.strip()), 0)
    if key == "escape" or (key == "backspace" and not text):
        return back(visit)
    if key == "backspace":
        return replace(visit, typed=text[:-1])
    return typing(visit, text + (" " if key == "space" else key)) if len(key) == 1 or key == "space" else visit


def typing(visit: Visit, text: str) -> Visit:
    """What is typed so far is this."""
    return replace(visit, typed="".join(c for c in text if c.isprintable())[:LONGEST_TEXT])


def _taken(visit: Visit, known: Known, pick: Pick, of: int) -> Visit:
    if pick is MORE:
        sheets = -(-of // (DIGITS - 1))
        return replace(visit, sheet=(visit.sheet + 1) % sheets, at=0)
    if pick.lines:
        return replace(visit, runs=Errand(known.lines(pick), pick.doing, pick.to), said="")
    return led(visit, pick.to) if pick.to else visit


def led(visit: Visit, to: Leaf) -> Visit:
    """At another leaf; back leads from a warp, and from the hall, where one would look for it."""
    if to == visit.leaf:
        return replace(visit, typed=None)
    if to in visit.way:
        way = visit.way[: visit.way.index(to) + 1]
    elif to.name in (LeafName.HALL, LeafName.WARP):
        way = (HALL,) if to == HALL else (HALL, to)
    else:
        way = (*visit.way, to)
    return Visit(way)


def back(visit: Visit) -> Visit:
    """At the leaf before; from the first one goes to the hall, and from there leaves."""
    if len(visit.way) > 1:
        return Visit(visit.way[:-1])
    return replace(visit, left=True) if visit.leaf == HALL else Visit((HALL,))


def done(visit: Visit, code: int, printed: Sequence[str]) -> Visit:
    """The commands have run, the last with this exit code; what it printed is to be read, or said."""
    errand = visit.runs
    assert errand
    well = code == 0 or (errand.doing is Doing.READ and code == 1)
    after = replace(visit, runs=None)
    if errand.doing is Doing.READ and well:
        after = replace(after, reading=tuple(printed), said="")
    else:
        after = replace(after, said=" ".join(printed[-1:]))
    return replace(led(after, errand.to), said=after.said, reading=after.reading) if errand.to and well else after
