"""What comes next for a warp, and what is not yet closed."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from assistant.errors import JournalError, PlanError
from assistant.meaning import Tell
from assistant.session.history import History, history
from assistant.session.journal import Record, Records
from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Warp
from assistant.warp.passes import HEDDLES, PASSES
from assistant.warp.spelling import typed

COME_RIGHT = (GroupState.EVEN, GroupState.SETTLED, GroupState.BEFORE)


class JobState(StrEnum):
    """How far a job has come."""

    NOT_BEGUN = "not begun"
    UNDER_WAY = "under way"
    DONE = "done"
    UNREADABLE = "unreadable"  # what is kept of it


@dataclass(frozen=True, slots=True)
class Standing:
    """How one job stands for this warp; `told` is None while it is not begun."""

    job: str
    told: History | None = None
    began: float = 0.0
    note: Tell | None = None  # what else to know: the file was edited since, or lacks what the job takes
    unreadable: bool = False  # and `note` says why

    @property
    def state(self) -> JobState:
        """It is done where every group is closed, and none is off."""
        if self.told is None:
            return JobState.UNREADABLE if self.unreadable else JobState.NOT_BEGUN
        return JobState.DONE if all(group.state in COME_RIGHT for group in self.told.groups) else JobState.UNDER_WAY

    def groups(self, state: GroupState) -> list[GroupLine]:
        """The groups that stand so."""
        return [group for group in self.told.groups if group.state is state] if self.told else []


@dataclass(frozen=True, slots=True)
class Upcoming:
    """Every job, why, and the commands that may come next."""

    title: str
    ends: int
    standings: tuple[Standing, ...]
    why: Tell
    commands: tuple[str, ...]  # the first is the usual one


def upcoming(journal: Records, file: Path, name: str, warp: Warp) -> Upcoming:
    """What comes next; `name` is the file as the weaver calls it."""
    latest: dict[str, Record] = {}
    for record in journal.records(file):
        latest.setdefault(record.job, record)
    standings = {job: _standing(journal, job, latest.get(job), warp) for job in PASSES}
    why, options = _choice(standings)
    commands = tuple(f"heddlecall {PASSES[job].command or job} {typed(name)}{option}" for job, option in options)
    return Upcoming(warp.title, warp.ends, tuple(standings.values()), why, commands)


def heddles_counted(journal: Records, file: Path) -> bool:
    """Whether the heddles for this file were counted out, every group of them."""
    record = next(iter(journal.records(file, HEDDLES.name)), None)
    return record is not None and _standing(journal, HEDDLES.name, record, record.warp).state is JobState.DONE


def _standing(journal: Records, job: str, record: Record | None, warp: Warp) -> Standing:
    try:
        PASSES[job].by_group(warp)
    except PlanError as error:
        note: Tell | None = error.tell
    else:
        note = None
    if record is None:
        return Standing(job, note=note)
    try:
        note = note or (Tell("edited since") if record.warp != warp else None)
        return Standing(job, history(journal, record), record.began, note)
    except JournalError as error:
        return Standing(job, note=error.tell, unreadable=True)


def _choice(standings: Mapping[str, Standing]) -> tuple[Tell, list[tuple[str, str]]]:
    """Why, and the jobs with their options, the usual one first."""
    order = [job.name for job in PASSES.values() if not job.instead_of]
    wound = max(standings[job.name].began for job in PASSES.values() if not job.on_loom)
    earlier = {job.name for job in PASSES.values() if job.on_loom and 0 < standings[job.name].began < wound}
    here = [standing for job, standing in standings.items() if standing.began and job not in earlier]
    under_way = [standing for standing in here if standing.state is JobState.UNDER_WAY]
    if under_way:
        latest = max(under_way, key=lambda standing: standing.began)
        return _go_on(latest), [(latest.job, "")]
    done = {needless for standing in here for needless in PASSES[standing.job].instead_of or (standing.job,)}
    if not done:
        return Tell("begin with any job"), [(job, "") for job in order]
    last = max(order.index(job) for job in done)
    if last == len(order) - 1:
        return Tell("all jobs are done"), [(order[0], " --fresh" * (order[0] in done))]
    following = order[last + 1]
    instead = [job for job in PASSES.values() if job.instead_of[:1] == (following,)]
    to_old = [job.name for job in instead if job.to_old_warp and earlier]
    options = [*to_old, following, *(job.name for job in instead if not job.to_old_warp)]
    if PASSES[following].optional:
        options += order[last + 2 : last + 3]
    why = Tell("tie to the old warp") if to_old else Tell("job is done", job=Tell(f"job {order[last]}"))
    return why, [(job, " --fresh" * (job in earlier)) for job in options]


def _go_on(standing: Standing) -> Tell:
    off = standing.groups(GroupState.OFF)
    if off and not standing.groups(GroupState.OPEN) and not standing.groups(GroupState.WAITING):
        return Tell("group is off", group=off[0].name)
    return Tell("go on where you left")
