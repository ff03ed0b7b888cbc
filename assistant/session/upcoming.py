"""What comes next for a warp, and what is not yet closed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import PlanError
from assistant.session.history import History, history
from assistant.session.journal import Journal, Record
from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Warp
from assistant.warp.passes import PASSES

CLOSED = (GroupState.EVEN, GroupState.SETTLED)


@dataclass(frozen=True, slots=True)
class Standing:
    """How one job stands for this warp; `told` is None while it is not begun."""

    job: str
    told: History | None = None
    began: float = 0.0
    note: str = ""  # what else to know: the file was edited since, or lacks what the job takes

    @property
    def state(self) -> str:
        """Not begun, under way, or done: every group is closed, and none is off."""
        if self.told is None:
            return "not begun"
        return "done" if all(group.state in CLOSED for group in self.told.groups) else "under way"

    def groups(self, state: GroupState) -> list[GroupLine]:
        """The groups that stand so."""
        return [group for group in self.told.groups if group.state is state] if self.told else []

    def as_json(self) -> dict[str, object]:
        """Job, state, the history's counts, and the groups not closed."""
        return {
            "job": self.job,
            "state": self.state,
            "counted": self.told.counted if self.told else 0,
            "not_closed": [g.as_json() for g in self.told.groups if g.state not in CLOSED] if self.told else [],
            "note": self.note,
        }

    def line(self) -> str:
        """The same to read."""
        if self.told is None:
            return "; ".join(filter(None, (self.state, self.note)))
        waiting = len(self.groups(GroupState.WAITING))
        parts = (
            self.told.count,
            "every group is closed" if self.state == "done" else "",
            _named("open", self.groups(GroupState.OPEN)),
            _named("OFF", self.groups(GroupState.OFF)),
            f"{waiting} {'group' if waiting == 1 else 'groups'} not begun" if waiting else "",
            self.note,
        )
        return "; ".join(filter(None, parts))


@dataclass(frozen=True, slots=True)
class Upcoming:
    """Every job, why, and the commands that may come next."""

    title: str
    ends: int
    standings: tuple[Standing, ...]
    why: str
    commands: tuple[str, ...]  # the first is the usual one

    def as_json(self) -> dict[str, object]:
        """Title, ends, jobs, why, and the commands to choose from."""
        return {
            "title": self.title,
            "ends": self.ends,
            "jobs": [standing.as_json() for standing in self.standings],
            "why": self.why,
            "next": list(self.commands),
        }

    def lines(self) -> list[str]:
        """The same to read."""
        wide = max(len(standing.job) for standing in self.standings)
        told = [f"  {standing.job:{wide}}  {standing.line()}" for standing in self.standings]
        return [f"{self.title}: {self.ends:,} ends", *told, f"next: {self.why}", *(f"  {c}" for c in self.commands)]


def _named(state: str, groups: Sequence[GroupLine]) -> str:
    named = ", ".join(f"{group.name} ({group.counted} of {group.expected})" for group in groups)
    return f"{state}: {named}" if named else ""


def upcoming(journal: Journal, file: Path, name: str, warp: Warp) -> Upcoming:
    """What comes next; `name` is the file as the weaver calls it."""
    latest: dict[str, Record] = {}
    for record in journal.records(file):
        latest.setdefault(record.job, record)
    standings = {job: _standing(journal, job, latest.get(job), warp) for job in PASSES}
    why, options = _choice(standings)
    commands = tuple(f"heddlecall {PASSES[job].command or job} {name}{option}" for job, option in options)
    return Upcoming(warp.title, warp.ends, tuple(standings.values()), why, commands)


def _standing(journal: Journal, job: str, record: Record | None, warp: Warp) -> Standing:
    try:
        PASSES[job].by_group(warp)
    except PlanError as error:
        note = str(error)
    else:
        note = "the file was edited since" if record and record.warp != warp else ""
    if record is None:
        return Standing(job, note=note)
    return Standing(job, history(journal, record), record.began, note)


def _choice(standings: Mapping[str, Standing]) -> tuple[str, list[tuple[str, str]]]:
    """Why, and the jobs with their options, the usual one first."""
    order = [job.name for job in PASSES.values() if not job.instead_of]
    wound = max(standings[job.name].began for job in PASSES.values() if not job.on_loom)
    earlier = {job.name for job in PASSES.values() if job.on_loom and 0 < standings[job.name].began < wound}
    here = [standing for job, standing in standings.items() if standing.began and job not in earlier]
    under_way = [standing for standing in here if standing.state == "under way"]
    if under_way:
        latest = max(under_way, key=lambda standing: standing.began)
        return _go_on(latest), [(latest.job, "")]
    done = {needless for standing in here for needless in PASSES[standing.job].instead_of or (standing.job,)}
    if not done:
        return "begin with winding, or with whichever job you want to be led through", [(job, "") for job in order]
    last = max(order.index(job) for job in done)
    if last == len(order) - 1:
        return "nothing is left to do but to tie on at the front and weave; a further warp begins with winding", [
            (order[0], " --fresh" * (order[0] in done))
        ]
    following = order[last + 1]
    instead = [job for job in PASSES.values() if job.instead_of[:1] == (following,)]
    to_old = [job.name for job in instead if job.to_old_warp and earlier]
    options = [*to_old, following, *(job.name for job in instead if not job.to_old_warp)]
    if PASSES[following].optional:
        options += order[last + 2 : last + 3]
    why = "tie the new warp to the old one, or begin afresh" if to_old else f"{order[last]} is done"
    return why, [(job, " --fresh" * (job in earlier)) for job in options]


def _go_on(standing: Standing) -> str:
    off = standing.groups(GroupState.OFF)
    if off and not standing.groups(GroupState.OPEN) and not standing.groups(GroupState.WAITING):
        return f"{off[0].name} is off: do it anew, or settle it"
    return "go on where you left"
