"""What stands where on the board, the map of the warp among it: lines made to the measure of their place. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assistant.senses.screen.letters import apart, big, flowed
from assistant.senses.screen.pointed import written
from assistant.senses.screen.shown import Shown, shown
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Kind
from assistant.session.view import Band, ModeName, Status, View, state_name
from assistant.words.columns import columns, padded, shortened
from assistant.words.speech import Lettering

Region = Callable[[int, int], Sequence[str]]  # columns and rows there are -> lines

SHAPES = {"even": "█", "checked": "▓", "open": "▄", "settled": "▞", "before": "▒", "waiting": "░", "off": "×"}
BEFORE = (
    "off",
    "open",
    "settled",
    "before",
    "waiting",
)  # what a column shows of the groups that share it: the first of these


def nothing(width: int, height: int) -> Sequence[str]:
    """A region that takes no room."""
    return ()


def regions(words: ScreenWords, view: View, status: Status) -> dict[str, Region]:
    """Every region by its name, from top to bottom."""
    asked, notice = f"{words.aside(view)} {words.asked(view)}".split(), words.notice(status).split()
    taken = words.taken(view).split()
    if words.kind(status.heard) is Kind.HELP:
        asked = words.hints(view).split()
    return {
        "title": lambda width, _: [apart(words.title(view), words.senses(status), width)],
        **(finished(words, view, status) if view.mode is ModeName.COMPLETE else under_way(words, view, status)),
        "taken": lambda width, _: flowed(taken, " ", width),
        "asked": lambda width, _: flowed(asked, " ", width),
        "notice": lambda width, _: flowed(notice, " ", width),
        "warp": lambda width, _: mapped(words, view, width),
    }


def under_way(words: ScreenWords, view: View, status: Status) -> dict[str, Region]:
    """What only stands there while there is something to do."""
    told = shown(words, view)
    keys = [] if words.kind(status.heard) is Kind.HELP else words.keys(view.offers)  # which the hints tell, too
    return {
        "place": lambda width, _: [apart(words.place(view), told.place or words.group_count(view), width)],
        "figures": lambda width, height: figures(told, width, height),
        "picture": lambda width, _: written(told.pointed, width) if told.pointed else [],
        "following": lambda width, _: [shortened(told.following, width)] if told.following else [],
        "yarns": lambda width, _: flowed([f"{yarn.name} × {yarn.ends}" for yarn in told.yarns], ", ", width),
        "heading": nothing,
        "table": nothing,
        "heard": lambda width, _: [apart(words.heard(status), words.time_left(view), width)],
        "keys": lambda width, _: flowed(keys, ", ", width),
    }


def finished(words: ScreenWords, view: View, status: Status) -> dict[str, Region]:
    """What stands there instead when all is done."""
    heading, *groups = words.table(view)
    return {
        "place": lambda width, _: flowed(words.total(view).split(), " ", width),
        "figures": nothing,
        "picture": nothing,
        "following": nothing,
        "yarns": nothing,
        "heading": lambda width, _: [shortened(heading, width)],
        "table": lambda width, _: [shortened(group, width) for group in groups],
        "heard": lambda width, _: [shortened(words.heard(status), width)],
        "keys": lambda width, _: flowed(words.keys_at_the_end(), ", ", width),
    }


def figures(told: Shown, width: int, height: int) -> list[str]:
    """What is to be read across the room, in the middle of its place."""
    lines = big([Lettering("/".join(piece.lines), piece.caption) for piece in told.pieces], width, height)
    above = (height - len(lines)) // 2
    blank = " " * width
    return [blank] * above + lines + [blank] * (height - len(lines) - above)


def mapped(words: ScreenWords, view: View, width: int) -> list[str]:
    """The map of the warp and its count, and under it the place now."""
    before, count = f"{words.text('warp')} ", words.warp_count(view)
    room = max(width - columns(before) - columns(count) - 1, 1)
    mapped = shortened(f"{before}{strip(view, room)} {count}", width)
    return [mapped, " " * columns(before) + pointer(words, view, room)]


@dataclass(frozen=True, slots=True)
class Segment:
    """A group on the map, in units of the whole warp, counted from where the first end lies."""

    number: int  # from 1
    start: int
    units: int
    counted: int
    state: str  # a key of SHAPES
    outward: bool = False  # it is gone along towards there

    @property
    def stop(self) -> int:
        """The first unit after it."""
        return self.start + self.units

    @property
    def reached(self) -> int:
        """How far it is done."""
        return self.stop - self.counted if self.outward else self.start + self.counted


def segments(view: View) -> tuple[Segment, ...]:
    """Every group of the warp, in the order in which it is gone along."""
    told, before, half = [], 0, first_half(view)
    for number, line in enumerate(view.summary, 1):
        outward = number <= view.outward
        start = half - before - line.expected if outward else before
        state = state_name(line.state, view.compares)
        told.append(Segment(number, start, line.expected, line.counted, state, outward))
        before += line.expected
    return tuple(told)


def first_half(view: View) -> int:
    """The units that are gone along towards where the first end lies."""
    return sum(line.expected for line in view.summary[: view.outward])


def bands(view: View, segment: Segment) -> tuple[Band, ...]:
    """The yarns of a group, as they lie from where the first end does."""
    lying = view.bands[segment.number - 1] if view.bands else ()
    return lying[::-1] if segment.outward else lying


def called(view: View) -> tuple[int, int] | None:
    """The units before the call, counted from where the first end lies, and those of it; None where none is out."""
    if not view.first:
        return None
    before, half = view.first - 1, first_half(view)
    return (half - before - view.calling if before < half else before), view.calling


def strip(view: View, width: int) -> str:
    """The map in so many columns, as seen from the front; of several groups in one column the foremost is shown."""
    told = segments(view)
    total = sum(segment.units for segment in told)
    states: list[list[str]] = [[] for _ in range(width)]
    for segment in told:
        for column in range(segment.start * width // total, -(-segment.stop * width // total)):
            states[column].append(segment.state)
    lying = "".join(SHAPES[_foremost(met)] for met in states)
    return lying[::-1] if view.start == "right" else lying


def _foremost(states: Sequence[str]) -> str:
    return next((state for state in BEFORE if state in states), states[0])


def pointer(words: ScreenWords, view: View, width: int) -> str:
    """A mark that stands under the place now, and beside it what the shapes mean, where there is room."""
    column, shapes = place(view, width), legend(words, view)
    if view.start == "right":
        column = width - 1 - column
    after = width - column - 1
    if columns(shapes) < after - 1:
        return "▲".rjust(column + 1) + " " * (after - columns(shapes)) + shapes
    return padded(shapes if columns(shapes) < column else "", column) + "▲"


def place(view: View, width: int) -> int:
    """How far the place now lies from where the warp begins, in parts of which there are so many."""
    told = segments(view)
    total = sum(segment.units for segment in told)
    here = told[min(view.group_number, len(told)) - 1]
    return max(min(here.reached * width // total, width - 1), 0)


def legend(words: ScreenWords, view: View) -> str:
    """The shapes on the map with their states, and how many groups stand so."""
    states = [segment.state for segment in segments(view)]
    told = (
        f"{shape} {states.count(name)} {words.state_word(name)}" for name, shape in SHAPES.items() if name in states
    )
    return ", ".join(told)
