"""An event as a row of the journal, both ways; what a row may hold."""

from datetime import UTC, datetime

from assistant.errors import SequenceError
from assistant.finder import Ask, Outcome, Question, Repair, Side, Way
from assistant.finder.reed import ReedAsk, ReedQuestion
from assistant.session.edit import Follows, Revision
from assistant.session.events import About, Event, Kind
from assistant.warp.model import Hangs
from assistant.warp.sequence import dump, loads
from assistant.warp.source import MOST_BYTES_BEGUN, one_line

COLUMNS = "at, kind, number, source, text, alike, about"  # of an event, as `to_row` gives them
EARLIEST, LATEST = (datetime(year, 1, 1, tzinfo=UTC).timestamp() for year in (2, 9999))  # a calendar tells, anywhere
MOST = 10**10  # in a number that a row holds, either way
MOST_CHARACTERS = 100_000

EventRow = tuple[float, str, int | str | None, str, str, str | None, str | None]


def to_row(event: Event) -> EventRow:
    """An event as the journal keeps it.

    A row of shafts read aloud is kept as "row 3 4 1" in place of the number, numbers that sound alike as "1-9 5-9".
    What of a search stood is kept as "asked shafts,7,last,0", with what lacks as a fifth where anything does,
    of the reed as "dents along,3,9"; "repair redo,3,5,6," or "undecided". An edit is kept as
    "edited before 0:6:9,-1:0:0" and the sequence on the same line.
    """
    number = " ".join(("row", *map(str, event.row))) if event.row else event.number
    alike = None if event.alike is None else " ".join(f"{one}-{other}" for one, other in event.alike)
    return event.at, event.kind.value, number, event.source, event.text, alike, _of_search(event.about)


def from_row(row: tuple[object, ...]) -> Event:
    """The event a row holds. Raises ValueError for what `to_row` never gives, or a kind not known here."""
    at, kind, number, source, text, alike, about = row
    if not (isinstance(source, str) and isinstance(text, str)):
        raise ValueError(row)
    if not (isinstance(alike, str | None) and isinstance(about, str | None)):
        raise ValueError(row)
    most = MOST_BYTES_BEGUN if kind == Kind.EDITED else MOST_CHARACTERS
    if len(source) + len(text) + len(f"{alike}{about}") > most:
        raise ValueError(row)
    pairs = None if alike is None else tuple(_pair(pair) for pair in alike.split())
    asked = None if about is None else _about(about)
    return Event(Kind(str(kind)), moment(at), _counted(number), source, _shafts(number), one_line(text), pairs, asked)


def moment(at: object) -> float:
    """Seconds since the epoch, as the journal has them. Raises ValueError for what is no time of a calendar."""
    if not isinstance(at, int | float) or not EARLIEST <= at <= LATEST:
        raise ValueError(at)
    return at


def _counted(number: object) -> int | None:
    if number is None or isinstance(number, str):
        return None
    return _whole(number)


def _shafts(number: object) -> tuple[int, ...]:
    if not isinstance(number, str):
        return ()
    begins, *shafts = number[:MOST_CHARACTERS].split()
    if begins != "row":
        raise ValueError(number)
    return tuple(_whole(int(shaft)) for shaft in shafts)


def _pair(text: str) -> tuple[int, int]:
    one, other = text.split("-")
    return _whole(int(one)), _whole(int(other))


def _of_search(about: About | None) -> str | None:
    match about:
        case None:
            return None
        case Question(ask, end, side, shaft, lacking):
            return f"asked {ask},{end},{side},{shaft}" + (f",{lacking}" if lacking else "")
        case ReedQuestion(ask, first, last):
            return f"dents {ask},{first},{last}"
        case Repair(way, first, taken_out, threaded, heddle):
            return f"repair {way},{first},{taken_out},{threaded},{'/'.join(map(str, heddle))}"
        case Outcome():
            return about.value
        case Revision(warp, groups, hangs):
            follow = ",".join(f"{each.group}:{each.same}:{each.again_to}" for each in groups)
            return f"edited {hangs} {follow} {dump(warp, on_one_line=True)}"


def _about(text: str) -> About:
    begins, _, rest = text.partition(" ")
    if begins == "asked":
        ask, end, side, *numbers = rest.split(",")
        if len(numbers) not in (1, 2):
            raise ValueError(text)
        return Question(Ask(ask), _whole(int(end)), Side(side), *(_whole(int(number)) for number in numbers))
    if begins == "dents":
        ask, first, last = rest.split(",")
        return ReedQuestion(ReedAsk(ask), _whole(int(first)), _whole(int(last)))
    if begins == "repair":
        way, first, taken_out, threaded, heddle = rest.split(",")
        at, out, anew = (_whole(int(number)) for number in (first, taken_out, threaded))
        return Repair(Way(way), at, out, anew, tuple(_whole(int(shaft)) for shaft in heddle.split("/") if shaft))
    if begins == "edited":
        return _edit(*rest.split(" ", 2))
    return Outcome(text)


def _edit(hangs: str, groups: str, sequence: str) -> Revision:
    try:
        warp = loads(sequence.encode(), "", ours=True)
    except SequenceError as error:
        raise ValueError(sequence) from error
    follow = tuple(Follows(*(_whole(int(part)) for part in each.split(":"))) for each in groups.split(","))
    return Revision(warp, follow, Hangs(hangs))


def _whole(number: object) -> int:
    if not isinstance(number, int) or abs(number) > MOST:
        raise ValueError(number)
    return number
