"""What was written, again or mirrored: of the last rows, or, where a group has just begun, of the last groups."""

from collections.abc import Sequence
from itertools import chain

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.colour_order import order_text
from assistant.warp.model import MOST_ENDS, End
from assistant.warp.notation import Ends, notation
from assistant.warp.spelling import shown
from assistant.writing.slip import Entry, PaperSlip, Several, WrittenGroup, WrittenRow

MOST_TIMES = 9999


def again(slip: PaperSlip, times: int, last: int = 1) -> PaperSlip:
    """The last ones stand so many times in all. Raises SequenceError where there are not so many, or too many ends."""
    if not 1 < times <= MOST_TIMES:
        raise not_so_often(str(times))
    _there(slip, last)
    if slip.hand.rows:
        rows = slip.hand.rows[-last:]
        _room(slip, (times - 1) * sum(len(row.ends) for row in rows))
        repeated = _repeated_row(rows, times)
        return slip.then(hand=_with(slip.hand, slip.hand.rows[:-last], repeated))
    entries = slip.entries[-last:]
    _room(slip, (times - 1) * sum(entry.count for entry in entries))
    return slip.then(entries=(*slip.entries[:-last], _repeated(entries, times)))


def mirror(slip: PaperSlip, last: int = 1) -> PaperSlip:
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
        both = WrittenRow(" ".join((*(row.text for row in rows), notation(back))), _ends(rows) + back)
        return slip.then(hand=_with(slip.hand, slip.hand.rows[:-last], both))
    entries = slip.entries[-last:]
    whole = last == 1 or not _both_ways([*_all_ends(slip, entries[-1])])
    turned = [_backwards(slip, entry) for entry in reversed(entries if whole else entries[:-1])]
    if whole:
        turned[:1] = _without_first(slip, turned[0])
    _room(slip, sum(entry.count for entry in turned))
    return slip.then(entries=(*slip.entries, *turned))


def _there(slip: PaperSlip, last: int) -> None:
    there = len(slip.hand.rows or slip.entries)
    if not there:
        raise SequenceError("nothing is written yet", "write a row first")
    if not 1 <= last <= there:
        what = "the last {last} cannot be repeated or mirrored"
        raise SequenceError(what, Tell("there are {there}", there=there), last=last)


def not_so_often(text: str) -> SequenceError:
    """A complaint about how often something stands."""
    what = "{name} is not how many times something stands in all"
    return SequenceError(what, "write 3, or 3.2 for the last 2 together", name=shown(text))


def _room(slip: PaperSlip, more: int) -> None:
    if slip.count + more > MOST_ENDS:
        what = "with this there are more than {most:,} ends"
        raise SequenceError(what, "look for a number that is too large", most=MOST_ENDS)


def _ends(rows: Sequence[WrittenRow]) -> Ends:
    return tuple(chain.from_iterable(row.ends for row in rows))


def _with(part: WrittenGroup, rows: Sequence[WrittenRow], last: WrittenRow) -> WrittenGroup:
    return WrittenGroup((*rows, last), part.name, part.order, part.times)


def _repeated_row(rows: Sequence[WrittenRow], times: int) -> WrittenRow:
    """Plain ends as short as they can be written; what was written otherwise as it is, in brackets."""
    ends = _ends(rows)
    if all(row.text == notation(row.ends) for row in rows):
        return WrittenRow(notation(ends * times), ends * times)
    return WrittenRow(f"{times}({' '.join(row.text for row in rows)})", ends * times)


def _both_ways(ends: Sequence[object]) -> bool:
    return [*ends] == [*reversed(ends)]


def _repeated(entries: Sequence[Entry], times: int) -> Entry:
    match entries:
        case (WrittenGroup() as part,):
            return WrittenGroup(part.rows, part.name, part.order, part.times * times)
        case (Several() as together,):
            return Several(together.parts, together.times * times)
    return Several(tuple(entries), times)


def _all_ends(slip: PaperSlip, entry: Entry) -> list[End]:
    if isinstance(entry, WrittenGroup):
        return [*slip.ends(entry)] * entry.times
    return [end for part in entry.parts for end in _all_ends(slip, part)] * entry.times


def _backwards(slip: PaperSlip, entry: Entry) -> Entry:
    if isinstance(entry, Several):
        return Several(tuple(_backwards(slip, part) for part in reversed(entry.parts)), entry.times)
    if _both_ways(slip.ends(entry)):
        return entry
    return _of_ends(entry, entry.ends[::-1], slip.colours(entry)[::-1], entry.times)


def _without_first(slip: PaperSlip, entry: Entry) -> list[Entry]:
    """The same without its first end, the group that held it by itself."""
    if isinstance(entry, Several):
        first, *rest = entry.parts
        once = [*_without_first(slip, first), *rest]
        return [*once, *([Several(entry.parts, entry.times - 1)] if entry.times > 1 else [])]
    shorter = _of_ends(entry, entry.ends[1:], slip.colours(entry)[1:], 1)
    rest = [WrittenGroup(entry.rows, entry.name, entry.order, entry.times - 1)] if entry.times > 1 else []
    return [*([shorter] if shorter.rows else []), *rest]


def _of_ends(part: WrittenGroup, ends: Ends, colours: Sequence[str], times: int) -> WrittenGroup:
    order = order_text(colours) if any(colours) else ""
    return WrittenGroup((WrittenRow(notation(ends), ends),) if ends else (), part.name, order, times)
