"""The map: one strip for the whole warp, every group in proportion, each state with a shape of its own. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.senses.screen import words
from assistant.senses.screen.columns import columns, padded
from assistant.session.view import Band, View, state_name

SHAPES = {"even": "█", "checked": "▓", "open": "▄", "settled": "▞", "waiting": "░", "off": "×"}
BEFORE = ("off", "open", "settled", "waiting")  # what a column shows of the groups that share it: the first of these


@dataclass(frozen=True, slots=True)
class Segment:
    """A group on the map, in units of the whole warp."""

    number: int  # from 1
    start: int
    units: int
    counted: int
    state: str  # a key of SHAPES


def segments(view: View) -> tuple[Segment, ...]:
    """Every group of the warp, in order."""
    shown, start = [], 0
    for number, line in enumerate(view.summary, 1):
        shown.append(Segment(number, start, line.expected, line.counted, state_name(line.state, view.compares)))
        start += line.expected
    return tuple(shown)


def bands(view: View, segment: Segment) -> tuple[Band, ...]:
    """The yarns of a group, as they lie."""
    return view.bands[segment.number - 1] if view.bands else ()


def told(view: View, segment: Segment) -> str:
    """A group in words."""
    line = view.summary[segment.number - 1]
    yarns = " and ".join(dict.fromkeys(band.yarn for band in bands(view, segment) if band.yarn))
    count = f"{line.counted} of {line.expected} {view.unit}s"
    here = "the place now" if segment.number == view.group_number else ""
    parts = ", ".join(filter(None, (count, words.state(view, line), yarns, here)))
    return f"{line.name}, group {segment.number} of {len(view.summary)}: {parts}"


def strip(view: View, width: int) -> str:
    """The map in so many columns; of several groups in one column the one that wants the eye is shown."""
    shown = segments(view)
    total = shown[-1].start + shown[-1].units
    states: list[list[str]] = [[] for _ in range(width)]
    for segment in shown:
        end = segment.start + segment.units
        for column in range(segment.start * width // total, -(-end * width // total)):
            states[column].append(segment.state)
    return "".join(SHAPES[_foremost(met)] for met in states)


def _foremost(states: Sequence[str]) -> str:
    return next((state for state in BEFORE if state in states), states[0])


def pointer(view: View, width: int) -> str:
    """A mark that stands under the place now, and beside it what the shapes mean, where there is room."""
    column, shapes = place(view, width), legend(view)
    if columns(shapes) < width - column - 2:
        return "▲".rjust(column + 1) + shapes.rjust(width - column - 1)
    return padded(shapes if columns(shapes) < column else "", column) + "▲"


def place(view: View, width: int) -> int:
    """The column of the place now."""
    shown = segments(view)
    total = shown[-1].start + shown[-1].units
    here = shown[min(view.group_number, len(shown)) - 1]
    return max(min((here.start + min(here.counted, here.units)) * width // total, width - 1), 0)


def legend(view: View) -> str:
    """The shapes on the map with their states, and how many groups stand so."""
    states = [segment.state for segment in segments(view)]
    return ", ".join(f"{shape} {states.count(state)} {state}" for state, shape in SHAPES.items() if state in states)
