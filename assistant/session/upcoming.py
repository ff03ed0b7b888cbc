"""What comes next for a warp, and what is not yet closed."""

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from assistant.errors import JournalError, PlanError
from assistant.meaning import Tell
from assistant.session.history import History, history, own_pace
from assistant.session.journal import Record, Records
from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Warp, Warping
from assistant.warp.passes import HEDDLES, PASSES, WIND
from assistant.warp.passes.order import COVERS, OPTIONAL, ORDERS, OTHERWISE, USUAL, as_done
from assistant.warp.passes.pace import Time, time
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
    lacks: bool = False  # the file lacks what the job takes
    left: Time | None = None  # of what the order of work asks for; None where nothing of it is left, or it is not known

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
    warping: Warping
    standings: tuple[Standing, ...]
    job: str | None  # that comes next; None where none is left
    why: Tell
    commands: tuple[str, ...]  # the first is the usual one


def upcoming(
    journal: Records, file: Path, name: str, warp: Warp, usual: Warping | None = None, weaver: str = ""
) -> Upcoming:
    """
    What comes next; `name` is the file as the weaver calls it, `usual` her order of work where it names none. Where
    several weave, it is the pace of this weaver that times go by; "": of whoever sat last.
    """
    latest: dict[str, Record] = {}
    for record in journal.records(file):
        latest.setdefault(record.job, record)
    standings = {job: _standing(journal, job, latest.get(job), warp) for job in PASSES}
    work = _Work(standings, warp.warping or usual)
    why, options = work.choice()
    commands = tuple(f"heddlecall {PASSES[job].command or job} {typed(name)}{option}" for job, option in options)
    told = tuple(_timed(journal, standings[job], warp, work, weaver) for job in work.jobs())
    return Upcoming(warp.title, warp.ends, work.warping, told, next(iter(work.left), None), why, commands)


def heddles_counted(journal: Records, file: Path) -> bool:
    """Whether the heddles for this file were counted out, every group of them."""
    record = next(iter(journal.records(file, HEDDLES.name)), None)
    return record is not None and _standing(journal, HEDDLES.name, record, record.warp).state is JobState.DONE


def _standing(journal: Records, job: str, record: Record | None, warp: Warp) -> Standing:
    note: Tell | None = None
    try:
        PASSES[job].by_group(warp)
    except PlanError as error:
        note = error.tell
    lacks = note is not None
    if record is None:
        return Standing(job, note=note, lacks=lacks)
    try:
        note = note or (Tell("edited since") if replace(record.warp, call_from=warp.call_from) != warp else None)
        return Standing(job, history(journal, record), record.began, note, lacks=lacks)
    except JournalError as error:
        return Standing(job, note=error.tell, unreadable=True, lacks=lacks)


def _timed(journal: Records, standing: Standing, warp: Warp, work: "_Work", weaver: str) -> Standing:
    """With the time that is left, in a job of which anything is; one that was done on the warp before is not begun."""
    job = standing.job
    if job in work.earlier:
        standing = Standing(job, note=standing.note or Tell("recorded before"), lacks=standing.lacks)
    if standing.lacks or job not in work.left:
        return standing
    told = standing.told
    units = told.left if told else sum(map(len, PASSES[job].by_group(warp)))
    here = (told.paces.get(weaver) if weaver else told.pace) if told else None
    return replace(standing, left=time(PASSES[job], units, here or own_pace(journal, job, weaver)))


class _Work:
    """What was done on this warp, and what is left, in the order of work."""

    def __init__(self, standings: Mapping[str, Standing], asked: Warping | None):
        """`asked` is the order that file or settings name."""
        self._standings, self._asked = standings, asked
        wound = standings[WIND.name].began
        before = {job.name for job in PASSES.values() if job.on_loom and 0 < standings[job.name].began < wound}
        self.earlier = before if before - {HEDDLES.name} else set()  # of a warp before this one
        self.begun = {job for job, each in standings.items() if each.began and job not in self.earlier}
        usual: Warping = "tied-on" if self.earlier else USUAL
        self.warping = as_done(asked or usual, self.begun)
        done = {job for job in self.begun if standings[job].state is JobState.DONE}
        over = done.union(*(self._covered(job, job in done) for job in self.begun))
        under_way = [standings[job] for job in self.begun if standings[job].state is JobState.UNDER_WAY]
        self._under_way = sorted(
            (each for each in under_way if each.job not in over), key=lambda each: each.began, reverse=True
        )
        self._done = sorted(done, key=lambda job: standings[job].began)
        going = [each.job for each in self._under_way]
        self.left = [*going, *(job for job in ORDERS[self.warping] if job not in {*over, *going})]

    def jobs(self) -> Iterable[str]:
        """All of them, those of the order of work first."""
        ordered = (way for job in ORDERS[self.warping] for way in (job, OTHERWISE.get(job)) if way)
        return dict.fromkeys((*ordered, *self._standings))

    def _covered(self, job: str, done: bool) -> Set[str]:
        """What need not be done any more where this job is done, or need not be begun where it is begun."""
        covered = COVERS.get(job, set())
        return {*(covered if done else ()), *({*covered, WIND.name} - self.begun)}

    def choice(self) -> tuple[Tell, list[tuple[str, str]]]:
        """Why, and the jobs with their options, the usual one first."""
        if self._under_way:
            return _go_on(self._under_way[0]), [(self._under_way[0].job, "")]
        if not self.begun:
            return Tell("begin with any job"), [(job, "") for job in self.left]
        rest, anew = Tell(f"then {self.warping}"), (WIND.name, " --fresh" * (WIND.name in self.begun))
        if not self.left:
            return Tell("all jobs are done", rest=rest), [anew]
        offered, job = list(self._offered(self.left)), Tell(f"job {self.left[0]}")
        if self._asked is None and self.warping == "tied-on" and not self.begun - {WIND.name}:
            afresh = (job for job in ORDERS[USUAL] if job != WIND.name)
            return Tell("tie to the old warp"), [*offered, *self._offered(afresh)]
        if all(job in OPTIONAL for job in self.left):
            return Tell("comes last", job=job, rest=rest), [*offered, anew]
        beamed = self.warping == "back-to-front" and self._done[-1] == WIND.name
        why = "comes next once beamed" if beamed else "comes next"
        return Tell(why, job=job, done=Tell(f"job {self._done[-1]}")), offered

    def _offered(self, jobs: Iterable[str]) -> Iterator[tuple[str, str]]:
        """The first of these, with its options, and those after it up to one that cannot be passed over."""
        for job in jobs:
            for way in filter(None, (job, OTHERWISE.get(job))):
                yield way, " --fresh" * (way in self.earlier)
            if not (job in OPTIONAL or self._standings[job].lacks):
                return


def _go_on(standing: Standing) -> Tell:
    off, job = standing.groups(GroupState.OFF), Tell(f"job {standing.job}")
    if off and not standing.groups(GroupState.OPEN) and not standing.groups(GroupState.WAITING):
        return Tell("group is off", job=job, group=off[0].name)
    return Tell("go on where you left", job=job)
