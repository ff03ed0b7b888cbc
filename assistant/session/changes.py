"""What changed between a warp as it was begun and its sequence file as it is now."""

from collections.abc import Sequence

from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Group, Warp


def changes(begun: Warp, edited: Warp) -> list[str]:
    """One line for each group that is not the same, then for whatever else differs."""
    lines = [
        _group_change(number, old, new)
        for number, (old, new) in enumerate(zip(begun.groups, edited.groups, strict=False), 1)
        if old != new
    ]
    before, now = len(begun.groups), len(edited.groups)
    if before != now:
        lines.append(f"there were {before} groups, now there are {now}")
    if not lines:
        lines.append("the groups are the same; other entries of the file changed")
    return lines


def _group_change(number: int, old: Group, new: Group) -> str:
    name = f"group {number}, {old.name}"
    if old.name != new.name:
        return f"{name}: is now called {new.name}"
    if len(old.ends) != len(new.ends):
        return f"{name}: had {len(old.ends)} ends, now has {len(new.ends)}"
    end = next(end for end, (a, b) in enumerate(zip(old.ends, new.ends, strict=True), 1) if a != b)
    return f"{name}: differs from end {end} on"


def touches_done(
    begun: Sequence[Sequence[object]], edited: Sequence[Sequence[object]], summary: Sequence[GroupLine]
) -> bool:
    """A group already begun no longer has the same units, so that its count would no longer hold."""
    return any(
        line.state is not GroupState.WAITING and edited[index : index + 1] != [units]
        for index, (line, units) in enumerate(zip(summary, begun, strict=True))
    )
