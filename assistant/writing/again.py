"""What was written, again or mirrored: of the last rows, or, where a group has just begun, of the last groups."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain, islice

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.colour_order import order_text
from assistant.warp.model import MOST_ENDS
from assistant.warp.notation import notation
from assistant.warp.spelling import shown
from assistant.warp.threads import CallMark, Hung, Threaded
from assistant.writing.rows import of_blocks
from assistant.writing.slip import Entry, PaperSlip, WrittenGroup, WrittenRow, WrittenSeveral

MOST_TIMES = 9999

Hanging = Sequence[tuple[Hung, tuple[str, ...]]]  # heddle by heddle, with the yarns of its ends


def again(slip: PaperSlip, times: int, last: int = 1) -> PaperSlip:
    """The last ones stand so many times in all. Raises SequenceError where there are not so many, or too many ends."""
    if not 1 < times <= MOST_TIMES:
        raise not_so_often(str(times))
    _there(slip, last)
    if slip.hand.rows:
        rows = slip.hand.rows[-last:]
        _room(slip, (times - 1) * sum(row.count for row in rows))
        return slip.then(hand=_with(slip.hand, last, _repeated_row(rows, times)))
    entries = slip.entries[-last:]
    _room(slip, (times - 1) * sum(entry.count for entry in entries))
    return slip.then(entries=(*slip.entries[:-last], _repeated(entries, times)))


def mirror(slip: PaperSlip, last: int = 1) -> PaperSlip:
    """Behind the last ones stand the same backwards; where it turns stands once. Raises SequenceError as `again`.

    It turns at the last heddle, of a profile at the last block; but of several rows or groups at the last one, where
    that reads the same both ways.
    """
    _there(slip, last)
    if slip.hand.rows:
        rows = slip.hand.rows[-last:]
        both = _point(slip, rows)
        _room(slip, both.count - sum(row.count for row in rows))
        return slip.then(hand=_with(slip.hand, last, both))
    entries = slip.entries[-last:]
    middle = last > 1 and _both_ways(_hanging(slip, entries[-1]))
    turned = [_backwards(slip, entry) for entry in reversed(entries[:-1] if middle else entries)]
    if not middle:
        turned[:1] = _without_first(slip, turned[0])
    _room(slip, sum(entry.count for entry in turned))
    return slip.then(entries=(*slip.entries, *turned))


def made_by_mirror(before: Sequence[WrittenRow], both: WrittenRow) -> WrittenRow:
    """What came behind the rows when they were mirrored."""
    blocks = both.blocks[sum(len(row.blocks) for row in before) :]
    hung = both.threads.hung[sum(len(row.threads.hung) for row in before) :]
    return WrittenRow("", Threaded(hung), blocks)


def not_so_often(text: str) -> SequenceError:
    """A complaint about how often something stands."""
    what = "{name} is not how many times something stands in all"
    return SequenceError(what, "write 3, or 3.2 for the last 2 together", name=shown(text))


def _there(slip: PaperSlip, last: int) -> None:
    there = len(slip.hand.rows or slip.entries)
    if not there:
        raise SequenceError("nothing is written yet", "write a row first")
    if not 1 <= last <= there:
        what = "the last {last} cannot be repeated or mirrored"
        raise SequenceError(what, Tell("there are {there}", there=there), last=last)


def _room(slip: PaperSlip, more: int) -> None:
    if slip.count + more > MOST_ENDS:
        what = "with this there are more than {most:,} ends"
        raise SequenceError(what, "look for a number that is too large", most=MOST_ENDS)


def _with(group: WrittenGroup, last: int, row: WrittenRow) -> WrittenGroup:
    return replace(group, rows=(*group.rows[:-last], row))


def _together(rows: Sequence[WrittenRow]) -> tuple[Threaded, tuple[str, ...]]:
    """What several rows hold, and their blocks where all are of blocks."""
    items = tuple(chain.from_iterable(row.threads.items for row in rows))
    blocks = tuple(chain.from_iterable(row.blocks for row in rows)) if all(row.blocks for row in rows) else ()
    return Threaded(items), blocks


def _repeated_row(rows: Sequence[WrittenRow], times: int) -> WrittenRow:
    """Plain ends as short as they can be written; what was written otherwise as it is, in brackets."""
    threads, blocks = _together(rows)
    repeated = Threaded(threads.items * times)
    if blocks or not any(row.blocks or row.text != notation(row.threads) for row in rows):
        text = f"{times}({' '.join(row.text for row in rows)})" if blocks else notation(repeated)
        return WrittenRow(text, repeated, blocks * times)
    return WrittenRow(f"{times}({' '.join(map(in_shafts, rows))})", repeated)


def in_shafts(row: WrittenRow) -> str:
    """A row in the notation of ends, also where it was written in blocks."""
    return notation(row.threads) if row.blocks else row.text


def _point(slip: PaperSlip, rows: Sequence[WrittenRow]) -> WrittenRow:
    """The rows and behind them the same backwards."""
    threads, blocks = _together(rows)
    middle = len(rows) > 1 and _both_ways(rows[-1].blocks if blocks else rows[-1].threads.items)
    if blocks:
        turning = (
            len(rows[-1].blocks)
            if middle
            else next((n for n, block in enumerate(reversed(blocks)) if block != blocks[-1]), len(blocks))
        )
        return of_blocks((*blocks, *blocks[: len(blocks) - turning][::-1]), slip.key)
    whole = _together(rows[:-1])[0] if middle else threads
    back = whole.mirrored.items
    if not middle:
        at = next(n for n, item in enumerate(back) if not isinstance(item, CallMark))
        back = back[:at] + back[at + 1 :]
    texts = [*map(in_shafts, rows), *([notation(Threaded(back))] if back else [])]
    return WrittenRow(" ".join(texts), Threaded(threads.items + back))


def _both_ways(items: Sequence[object]) -> bool:
    return [*items] == [*reversed(items)]


def _repeated(entries: Sequence[Entry], times: int) -> Entry:
    return (
        replace(entries[0], times=entries[0].times * times)
        if len(entries) == 1
        else WrittenSeveral(tuple(entries), times)
    )


def _hanging(slip: PaperSlip, entry: Entry) -> Hanging:
    if isinstance(entry, WrittenSeveral):
        return [end for part in entry.parts for end in _hanging(slip, part)] * entry.times
    yarns = iter(slip.colours(entry))
    return [(hung, tuple(islice(yarns, hung.ends))) for hung in entry.threads.hung] * entry.times


def _backwards(slip: PaperSlip, entry: Entry) -> Entry:
    if isinstance(entry, WrittenSeveral):
        return WrittenSeveral(tuple(_backwards(slip, part) for part in reversed(entry.parts)), entry.times)
    once = _hanging(slip, replace(entry, times=1))
    if _both_ways(once):
        return entry
    return _of(entry, [(hung, yarns[::-1]) for hung, yarns in reversed(once)], entry.times)


def _without_first(slip: PaperSlip, entry: Entry) -> list[Entry]:
    """The same without its first heddle, the group that held it by itself."""
    rest = [replace(entry, times=entry.times - 1)] if entry.times > 1 else []
    if isinstance(entry, WrittenSeveral):
        return [*_without_first(slip, entry.parts[0]), *entry.parts[1:], *rest]
    shorter = _of(entry, _hanging(slip, replace(entry, times=1))[1:], 1)
    return [*([shorter] if shorter.rows else []), *rest]


def _of(group: WrittenGroup, hanging: Hanging, times: int) -> WrittenGroup:
    threads, yarns = Threaded(tuple(hung for hung, _ in hanging)), [yarn for _, each in hanging for yarn in each]
    order = order_text(yarns) if any(yarns) else ""
    rows = (WrittenRow(notation(threads), threads),) if hanging else ()
    return replace(group, rows=rows, order=order, times=times)
