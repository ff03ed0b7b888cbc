"""A place in an edited sequence: what is done is carried over, and what differs is to be done anew, or settled."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from itertools import takewhile

from assistant.session.edit import Follows, Revision
from assistant.session.modes import Calling, Closing, Complete, Mode, Paused
from assistant.session.place import Place, Progress
from assistant.session.view import UNCLOSED, GroupState
from assistant.warp.model import Hangs, Warp
from assistant.warp.outward import Outward, legs
from assistant.warp.reed import as_planned

BEGUN_WITH = Progress()
MOST_COMPARED = 4_000_000  # pairs of groups


@dataclass(frozen=True, slots=True)
class Undone:
    """What of an edit lies in what is done: groups of the edited sequence, and groups before that are gone."""

    groups: tuple[int, ...]
    gone: tuple[int, ...]

    def __bool__(self) -> bool:
        return bool(self.groups or self.gone)


def compared(place: Place, now: Warp) -> Revision:
    """The edit that makes this of the sequence of a place, in its job. Raises PlanError."""
    job, before = place.course.job, _unmoved(place).course.warp
    walked = as_planned(before, job.along(now))
    old, new = ([tuple(units) for units in job.by_group(warp)] for warp in (before, walked))
    turned = job.on_loom and _lies_as(before) != _lies_as(walked)
    groups = [Follows()] * len(new)
    alike = ((one, other) for one, other in zip(legs(before), legs(walked), strict=False))
    pairs = ((one[was], other[now]) for one, other in alike for was, now in _pairs(_of(old, one), _of(new, other)))
    for was, is_now in pairs:
        same, again_to = (0, len(new[is_now])) if turned else _differing(old[was], new[is_now])
        groups[is_now] = Follows(was, same, again_to)
    return Revision(now, tuple(groups))


def _lies_as(warp: Warp) -> tuple[object, ...]:
    """What of the whole warp each of its ends hangs by: sides, and the centre that it was begun from."""
    return warp.start, warp.loom.shaft_1, *(warp.middle if isinstance(warp, Outward) else ())


def _of(units: Sequence[object], groups: range) -> Sequence[object]:
    return units[groups.start : groups.stop]


def _pairs(old: Sequence[object], new: Sequence[object]) -> Iterator[tuple[int, int]]:
    """Which group is which: those that are equal in their order, and those between them one by one."""
    same, tail = _alike_at_both_ends(old, new)
    yield from zip(range(same), range(same), strict=True)
    old_end, new_end = len(old) - tail, len(new) - tail
    for kind, first, last, begin, end in _between(old[same:old_end], new[same:new_end]):
        if kind in ("equal", "replace"):
            yield from zip(range(same + first, same + last), range(same + begin, same + end), strict=False)
    yield from zip(range(old_end, len(old)), range(new_end, len(new)), strict=True)


def _between(old: Sequence[object], new: Sequence[object]) -> Sequence[tuple[str, int, int, int, int]]:
    """What became of what; of more than can be compared in a moment, one by one."""
    if len(old) * len(new) > MOST_COMPARED:
        return [("replace", 0, len(old), 0, len(new))]
    return SequenceMatcher(None, old, new, autojunk=False).get_opcodes()


def _alike_at_both_ends(old: Sequence[object], new: Sequence[object]) -> tuple[int, int]:
    """How many are the same from the beginning, and how many of the others from the end."""
    shorter = min(len(old), len(new))
    same = sum(1 for _ in takewhile(lambda at: old[at] == new[at], range(shorter)))
    return same, sum(1 for _ in takewhile(lambda at: old[-1 - at] == new[-1 - at], range(shorter - same)))


def _differing(old: Sequence[object], new: Sequence[object]) -> tuple[int, int]:
    """The units that are the same from the beginning, and those of the new up to which they differ."""
    same, tail = _alike_at_both_ends(old, new)
    return same, len(new) - tail


def touched(place: Place, edit: Revision) -> Undone:
    """What of an edit lies in what is done."""
    whole = _unmoved(place)
    carried = list(_carried(whole, edit))
    kept = {each.group for each in edit.groups}
    begun = [at for at, each in enumerate(whole.groups) if each.state is not GroupState.WAITING]
    differ = [at for at, (_, as_before) in enumerate(carried) if not as_before]
    return Undone(tuple(differ), tuple(at for at in begun if at not in kept))


def edited(place: Place, edit: Revision) -> Place:
    """On in the edited sequence; where what differs is to be done anew, at the first of that."""
    whole = _unmoved(place)
    carried = list(_carried(whole, edit))
    job = whole.course.job
    course = replace(whole.course, warp=as_planned(whole.course.warp, job.along(edit.warp)))
    groups = [each for each, _ in carried]
    for at in _still_moved(place, edit, [as_before for _, as_before in carried]):
        was = edit.groups[at].group
        course = course.moved(at, place.groups[was].moved)
        groups[at : at + 2] = place.groups[was : was + 2]
    there = replace(
        place,
        course=course,
        groups=tuple(groups),
        group=_here(place.group, edit),
        mode=_awake(place.mode),
        home=None,
        done=sum(each.done_of(size) for each, size in zip(groups, course.sizes, strict=True)),
        left=sum(each.left_of(size) for each, size in zip(groups, course.sizes, strict=True)),
    )
    differ = [at for at, (_, as_before) in enumerate(carried) if not as_before]
    first = next((at for at in differ if there.course.sizes[at]), None)
    if first is not None and edit.hangs is Hangs.BEFORE:
        return _at_its_call(replace(there, group=first))
    if _as_it_was(place, there, edit):
        return there
    return _at_its_call(there) if there.here.state in UNCLOSED and there.size else there.go_on()


def _awake(mode: Mode) -> Mode:
    return mode.back if isinstance(mode, Paused) else mode


def _as_it_was(place: Place, there: Place, edit: Revision) -> bool:
    """The mode still means what it meant."""
    follows = edit.groups[there.group]
    stays = follows.group == place.group == there.group and place.here == there.here and place.size == there.size
    return stays and follows.same == there.size and place.home is None and not isinstance(there.mode, Complete)


def _at_its_call(place: Place) -> Place:
    return place.to(Closing() if place.here.counted == place.size else Calling())


def _here(group: int, edit: Revision) -> int:
    """Where the group in hand is by now; where it is gone, the one that took its place."""
    for at, follows in enumerate(edit.groups):
        if follows.group >= group:
            return at
    return len(edit.groups) - 1


def _unmoved(place: Place) -> Place:
    """The same place where nothing was passed on from one group to the next, as the file has it."""
    course, groups = place.course, list(place.groups)
    for at, each in enumerate(place.groups):
        if each.moved:
            course = course.moved(at, -each.moved)
            groups[at] = replace(each, counted=each.counted + each.moved, moved=0, passed=0)
            following = groups[at + 1]
            if following != BEGUN_WITH:
                groups[at + 1] = replace(following, counted=max(0, following.counted - each.moved))
    return replace(place, course=course, groups=tuple(groups))


def _still_moved(place: Place, edit: Revision, as_before: Sequence[bool]) -> Iterator[int]:
    """The groups that passed something on to one that still follows them, both being as before."""
    for at, (one, other) in enumerate(zip(edit.groups, edit.groups[1:], strict=False)):
        both = as_before[at] and as_before[at + 1] and one.group >= 0 and other.group == one.group + 1
        if both and place.groups[one.group].moved:
            yield at


def _carried(place: Place, edit: Revision) -> Iterator[tuple[Progress, bool]]:
    """How each group stands in the edited sequence, and whether what is done of it is as before."""
    sizes = [len(units) for units in place.course.job.by_group(edit.warp)]
    begun = [at for at, each in enumerate(place.groups) if each.state is not GroupState.WAITING]
    last = max((at for at, each in enumerate(edit.groups) if each.group in begun), default=-1)
    for at, (follows, size) in enumerate(zip(edit.groups, sizes, strict=True)):
        if follows.group < 0:
            settled = edit.hangs is Hangs.NEW and not place.course.job.compares
            yield (Progress(size, size, state=GroupState.SETTLED) if at < last and settled else BEGUN_WITH), at >= last
            continue
        was, before = place.groups[follows.group], place.course.sizes[follows.group]
        if was.state is GroupState.WAITING:
            yield BEGUN_WITH, True
        elif _hung(was, before) <= follows.same and (was.state in UNCLOSED or before == size):
            yield was, True
        elif place.course.job.compares:
            yield BEGUN_WITH, False
        elif edit.hangs is Hangs.NEW:
            yield _like_the_new(was, before, size, follows), False
        else:
            yield _anew(was, before, size, follows), False


def _hung(was: Progress, size: int) -> int:
    """Units that hang, as far as is known."""
    return max(was.counted, was.redo_to, was.hangs_to) if was.state in UNCLOSED else size


def _hangs_now(was: Progress, before: int, size: int, follows: Follows) -> int | None:
    """As many units of the edited group; None where it was left within what differs."""
    hung, grown = _hung(was, before), size - before
    return hung + grown if hung >= follows.again_to - grown else None


def _like_the_new(was: Progress, before: int, size: int, follows: Follows) -> Progress:
    if was.state not in UNCLOSED:
        state = was.state if was.state is GroupState.BEFORE else GroupState.SETTLED
        return Progress(size, size, state=state)
    hangs = _hangs_now(was, before, size, follows)
    counted = min(_hung(was, before), follows.again_to) if hangs is None else hangs
    return Progress(counted, state=GroupState.OPEN if counted else GroupState.WAITING)


def _anew(was: Progress, before: int, size: int, follows: Follows) -> Progress:
    hangs = _hangs_now(was, before, size, follows)
    if hangs is None or follows.again_to == size:
        return Progress(follows.same, state=GroupState.OPEN if follows.same else GroupState.WAITING)
    if follows.again_to == follows.same:
        return Progress(hangs, state=GroupState.OPEN if hangs else GroupState.WAITING)
    hangs_to = hangs if hangs < size else 0
    return Progress(follows.same, redo_to=follows.again_to, hangs_to=hangs_to, state=GroupState.OPEN)
