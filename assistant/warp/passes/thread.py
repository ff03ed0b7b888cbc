"""Threading: every end through a heddle on its shaft, or with others through the same one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.heddles import heddle_cautions
from assistant.warp.model import End, Group, Warp
from assistant.warp.notation import Shafts
from assistant.warp.passes.calls import divided
from assistant.warp.passes.colours import one_by_one
from assistant.warp.passes.walk import USUAL_PACE, Call, Figure, Item, Pass, Size, chunks

MOST = 12  # in a call
FLOATING = "~"  # how an end in no heddle is written


@dataclass(frozen=True, slots=True)
class InHeddle:
    """What goes through one heddle, or one on each of several shafts: mostly one end.

    Ends that float beside it are told with it, and are no part of it.
    """

    ends: tuple[End, ...]
    floating_before: int = field(default=0, compare=False)  # where it is the first of its group
    floating_after: int = field(default=0, compare=False)

    @property
    def shafts(self) -> Shafts:
        """As the file has them."""
        return self.ends[0].shafts

    @property
    def yarns(self) -> tuple[str, ...]:
        """The keys of its yarns, each once; "" where none is given."""
        return tuple(dict.fromkeys(end.yarn for end in self.ends))


def shafts(unit: InHeddle | End) -> Shafts:
    """Those of what is threaded, the lowest first: as it is looked at, whatever the order in the file."""
    return tuple(sorted(unit.shafts))


def yarn(unit: InHeddle) -> str:
    """The key of its yarn; of several, all of them."""
    return " + ".join(unit.yarns)


def written(unit: InHeddle) -> str:
    """As the notation has it: 3/7, or 3/7*2 where two ends lie there."""
    many = f"*{len(unit.ends)}" if len(unit.ends) > 1 else ""
    return "/".join(map(str, unit.shafts)) + many


def threaded(ends: Sequence[End]) -> tuple[InHeddle, ...]:
    """The heddles of a group, in order; none where all its ends float."""
    if all(end.shafts and not end.joins for end in ends):
        return tuple(InHeddle((end,)) for end in ends)
    held: list[list[End]] = []
    floating = [0]  # before the first, then after each
    for end in ends:
        if end.joins and held:
            held[-1].append(end)
        elif end.shafts:
            held.append([end])
            floating.append(0)
        else:
            floating[-1] += 1
    return tuple(
        InHeddle(tuple(together), floating[0] if not number else 0, floating[number + 1])
        for number, together in enumerate(held)
    )


def reparted(one: Group, other: Group, heddles: int) -> tuple[Group, Group]:
    """Two groups that follow each other, their border after so many heddles and what floats after the last of them."""
    ends = one.ends + other.ends
    border = sum(map(_passed, threaded(ends)[:heddles]))
    marks = (*one.calls[:-1], *(len(one.ends) + mark for mark in other.calls))
    before = (*(mark for mark in marks if mark < border), border) if one.calls else ()
    after = tuple(mark - border for mark in marks if mark > border) if other.calls else ()
    return replace(one, ends=ends[:border], calls=before), replace(other, ends=ends[border:], calls=after)


def _passed(unit: InHeddle) -> int:
    """The ends that it passes: its own, and those that float beside it."""
    return unit.floating_before + len(unit.ends) + unit.floating_after


def _units(warp: Warp, _: int) -> Iterator[Sequence[InHeddle]]:
    """Raises PlanError where every end floats. Groups of the same entry are gone through once."""
    alike = {id(group.ends): group.ends for group in warp.groups}
    units = {which: threaded(ends) for which, ends in alike.items()}
    if not any(units.values()):
        raise PlanError("every end of this warp floats; there is no heddle to thread")
    return (units[id(group.ends)] for group in warp.groups)


def _marks(group: Group, units: Sequence[InHeddle]) -> list[int]:
    """After how many units a call ends, where that is marked; a mark counts ends."""
    if not group.calls:
        return []
    marks, found, ends = set(group.calls), [], 0
    for number, unit in enumerate(units, 1):
        passed = range(ends + 1, ends + _passed(unit) + 1)
        ends = passed.stop - 1
        if not marks.isdisjoint(passed):
            found.append(number)
    return [mark for mark in found if mark < len(units)]


def _divided(group: Group, units: Sequence[InHeddle], size: int | None) -> Iterator[Sequence[InHeddle]]:
    told = [(unit.shafts, len(unit.ends)) for unit in units]
    return divided(units, told, _marks(group, units), size, THREAD.size)


def _tell(warp: Warp, call: Call[InHeddle]) -> Sequence[Item]:
    first = call.units[0]
    before = [_floating(first.floating_before)] if not call.start and first.floating_before else []
    return [*before, *([] if call.start else _together(call)), *one_by_one(warp, call, _items)]


def _together(call: Call[InHeddle]) -> list[Item]:
    """With the first call of a group, that those told together go through one heddle."""
    many = next((len(unit.ends) for unit in call.units if len(unit.ends) > 1), 0)
    return [Item(Tell("in one heddle", count=many), aside=True)] if many else []


def _items(unit: InHeddle, caption: Tell) -> Iterator[Item]:
    """The shafts of an end, on the beat, and how many lie in the heddle; then what is left hanging beside it."""
    text, many = written(unit), len(unit.ends)
    told = Tell("shafts", beat=True, shafts=unit.shafts)
    if many > 1:
        told = Tell("shafts of several", beat=True, shafts=unit.shafts, ends=(many,))
    yarns = tuple(filter(None, unit.yarns))
    yield Item(told, (Figure(text.replace("*", "×"), caption, yarns, unit.shafts, many),), text)
    if unit.floating_after:
        yield _floating(unit.floating_after)


def _floating(ends: int) -> Item:
    return Item(Tell("floating", count=ends), aside=True)


def _listed(units: Sequence[InHeddle]) -> list[list[int]]:
    return [list(end.shafts) for unit in units for end in unit.ends]


THREAD = Pass(
    name="thread",
    about="thread a warp by voice and foot, from where it was left",
    unit="end",
    size=Size("--per-call", "call at most N ends at once", 4, MOST, by_repeat=True),
    units=_units,
    cut=chunks,
    divided=_divided,
    tell=_tell,
    shafts=shafts,
    listed=_listed,
    cautions=heddle_cautions,
    pace=USUAL_PACE,
)
THREAD = replace(THREAD, before=replace(THREAD, divided=None))
