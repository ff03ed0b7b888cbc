"""What was written, again or mirrored: of the last rows, or, where a group has just begun, of the last groups."""

from collections.abc import Sequence
from itertools import chain

from assistant.errors import SequenceError
from assistant.warp.colour_order import order_text
from assistant.warp.model import MOST_ENDS, End
from assistant.warp.notation import Ends, notation
from assistant.writing.slip import Entry, Part, Row, Slip, Together

MOST_TIMES = 9999


def again(slip: Slip, times: int, last: int = 1) -> Slip:
    """The last ones stand so many times in all. Raises SequenceError where there are not so many, or too many ends."""
    if not 1 < times <= MOST_TIMES:
        raise SequenceError("that again {times} times in all", "say 2 or more", times=times)
    _there(slip, last)
    if slip.hand.rows:
        rows = slip.hand.rows[-last:]
        _room(slip, (times - 1) * sum(len(row.ends) for row in rows))
        repeated = _repeated_row(rows, times)
        return slip.then(hand=_with(slip.hand, slip.hand.rows[:-last], repeated))
    entries = slip.entries[-last:]
    _room(slip, (times - 1) * sum(entry.count for entry in entries))
    return slip.then(entries=(*slip.entries[:-last], _repeated(entries, times)))


def mirror(slip: Slip, last: int = 1) -> Slip:
    """Behind the last ones stand the same backwards; where it turns stands once. Raises SequenceError as `again`.

    It turns at the last end; but of several rows or groups at the last one, where that reads the same both ways.
    """
    _there(slip, last)
    if slip.hand.rows:
        rows = slip.hand.rows[-last:]
        turning = rows if last == 1 or not _both_ways(rows[-1].ends) else rows[:-1]
        ends = _ends(turning)[::-1]
        back = ends[1:] if turning is rows else ends
        _room(slip, len(back))
        if not back:
            raise SequenceError("one end has nothing to mirror", "write the row first")
        both = Row(" ".join((*(row.text for row in rows), notation(back))), _ends(rows) + back)
        return slip.then(hand=_with(slip.hand, slip.hand.rows[:-last], both))
    entries = slip.entries[-last:]
    whole = last == 1 or not _both_ways([*_all_ends(slip, entries[-1])])
    turned = [_backwards(slip, entry) for entry in reversed(entries if whole else entries[:-1])]
    if whole:
        turned[:1] = _without_first(slip, turned[0])
    _room(slip, sum(entry.count for entry in turned))
    if not turned:
        raise SequenceError("one end has nothing to mirror", "write the row first")
    return slip.then(entries=(*slip.entries, *turned))


def _there(slip: Slip, last: int) -> None:
    there = len(slip.hand.rows or slip.entries)
    if not there:
        raise SequenceError("nothing is written yet", "write a row first")
    if not 1 <= last <= there:
        what = "the last {last} of {there} rows" if slip.hand.rows else "the last {last} of {there} groups"
        raise SequenceError(what, "say how many of them", last=last, there=there)


def _room(slip: Slip, more: int) -> None:
    if slip.count + more > MOST_ENDS:
        what = "with this there are more than {most:,} ends"
        raise SequenceError(what, "look for a number that is too large", most=MOST_ENDS)


def _ends(rows: Sequence[Row]) -> Ends:
    return tuple(chain.from_iterable(row.ends for row in rows))


def _with(part: Part, rows: Sequence[Row], last: Row) -> Part:
    return Part((*rows, last), part.name, part.order, part.times)


def _repeated_row(rows: Sequence[Row], times: int) -> Row:
    """Plain ends as short as they can be written; what was written otherwise as it is, in brackets."""
    ends = _ends(rows)
    if all(row.text == notation(row.ends) for row in rows):
        return Row(notation(ends * times), ends * times)
    return Row(f"{times}({' '.join(row.text for row in rows)})", ends * times)


def _both_ways(ends: Sequence[object]) -> bool:
    return [*ends] == [*reversed(ends)]


def _repeated(entries: Sequence[Entry], times: int) -> Entry:
    match entries:
        case (Part() as part,):
            return Part(part.rows, part.name, part.order, part.times * times)
        case (Together() as together,):
            return Together(together.parts, together.times * times)
    return Together(tuple(entries), times)


def _all_ends(slip: Slip, entry: Entry) -> list[End]:
    if isinstance(entry, Part):
        return [*slip.ends(entry)] * entry.times
    return [end for part in entry.parts for end in _all_ends(slip, part)] * entry.times


def _backwards(slip: Slip, entry: Entry) -> Entry:
    if isinstance(entry, Together):
        return Together(tuple(_backwards(slip, part) for part in reversed(entry.parts)), entry.times)
    if _both_ways(slip.ends(entry)):
        return entry
    return _of_ends(entry, entry.ends[::-1], slip.colours(entry)[::-1], entry.times)


def _without_first(slip: Slip, entry: Entry) -> list[Entry]:
    """The same without its first end, the group that held it by itself."""
    if isinstance(entry, Together):
        first, *rest = entry.parts
        once = [*_without_first(slip, first), *rest]
        return [*once, *([Together(entry.parts, entry.times - 1)] if entry.times > 1 else [])]
    shorter = _of_ends(entry, entry.ends[1:], slip.colours(entry)[1:], 1)
    rest = [Part(entry.rows, entry.name, entry.order, entry.times - 1)] if entry.times > 1 else []
    return [*([shorter] if shorter.rows else []), *rest]


def _of_ends(part: Part, ends: Ends, colours: Sequence[str], times: int) -> Part:
    order = order_text(colours) if any(colours) else ""
    return Part((Row(notation(ends), ends),) if ends else (), part.name, order, times)
