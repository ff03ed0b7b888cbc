"""A record's events, replayed -> its story."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from assistant.paper.story import (
    AT_ONCE_S,
    Deed,
    GroupStory,
    MarkedPlace,
    Moment,
    Step,
    Story,
    WordHeard,
    WordsHeard,
)
from assistant.session.edit import Revision, fitting
from assistant.session.events import Event, Kind, Origin
from assistant.session.history import BESIDE, Retelling, dated
from assistant.session.journal import Record
from assistant.session.telling import trouble
from assistant.session.view import ALARM, UNCLOSED, GroupLine, GroupState, ModeName
from assistant.session.worked import Worked
from assistant.warp.outward import as_hung
from assistant.words.language import Language
from assistant.words.wording import Wording


def story(record: Record, events: Sequence[Event], language: Language) -> Story:
    """Replay the events and tell what they come to; what was wrong is told in this language."""
    retelling = Retelling(record)
    teller = _Teller(retelling, Wording(language, record.job, retelling.session.place.course.unit))
    told = list(dated(events))
    for event in told:
        teller.take(event)
    session = teller.session
    for group, line in zip(teller.groups, session.summary(), strict=True):
        group.line = line
    return Story(
        teller.retelling.history(),
        as_hung(session.place.course.warp),
        session.job.compares,
        record.began + sum(now.at - then.at for now, then in zip(told[:1], events, strict=False)),
        tuple(teller.groups),
        tuple(_joined(sitting) for sitting in teller.worked),
        tuple(map(tuple, teller.steps)),
        tuple(teller.notes),
        heard(events),
    )


def _joined(worked: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Pieces that follow each other without a break, as one."""
    if not worked:
        return ()
    starts = [worked[0][0], *(b[0] for a, b in pairwise(worked) if a[1] != b[0])]
    stops = [*(a[1] for a, b in pairwise(worked) if a[1] != b[0]), worked[-1][1]]
    return tuple(zip(starts, stops, strict=True))


class _Teller:
    """Follows a session event by event."""

    def __init__(self, retelling: Retelling, words: Wording):
        self.retelling, self.session, self._words = retelling, retelling.session, words
        self.groups = [GroupStory(line, []) for line in self.session.summary()]
        self.worked: list[list[tuple[float, float]]] = []
        self.steps: list[list[Step]] = []
        self.notes: list[MarkedPlace] = []
        self._step = 0.0  # seconds since units were done last

    def take(self, event: Event) -> None:
        """One event further."""
        if event.kind is Kind.NOTE:
            here = self.session.group
            self.notes.append(MarkedPlace(event.at, here.name, here.counted, event.by, event.text))
        if event.kind in BESIDE:
            stood = self.session.summary()
            self.retelling.take(event)
            if edit := fitting(event.about, len(stood), self.session.job):
                self._follow(event, edit, stood)
            return
        if event.kind is Kind.SIT_DOWN or not self.worked:
            self.worked.append([])
            self.steps.append([])
            self._step = 0.0
        index, mode, lines, trouble = self._standing()
        before = self.session.place.worked
        self.retelling.take(event)
        self._keep_time(before, event.at, index)
        done = self.session.done - sum(line.counted for line in lines)
        if done > 0 and mode is ModeName.CALLING:
            group, weaver = self.groups[index], self.session.place.weaver
            group.units += done
            group.weavers[weaver] = group.weavers.get(weaver, 0) + done
            self.steps[-1].append(Step(self._step, done))
            self._step = 0.0
        if done < 0 and event.kind is Kind.BACK:
            self.groups[index].steps_back += 1
        self._see_groups(event, lines, mode)
        self._see_trouble(event, trouble)

    def _follow(self, event: Event, edit: Revision, before: Sequence[GroupLine]) -> None:
        """The sequence was edited: the groups are others, and some stand otherwise than before."""
        told, lines = dict(enumerate(self.groups)), dict(enumerate(before))
        now = list(zip(edit.groups, self.session.summary(), strict=True))
        self.groups = [told.get(follows.group) or GroupStory(line, []) for follows, line in now]
        self._see_groups(event, [lines.get(follows.group, line) for follows, line in now], self.session.mode)

    def _standing(self) -> tuple[int, ModeName, tuple[GroupLine, ...], str]:
        session = self.session
        return session.place.group, session.mode, session.summary(), self._trouble

    @property
    def _trouble(self) -> str:
        return self._words.text(*trouble(self.session.place))

    def _keep_time(self, before: Worked, at: float, index: int) -> None:
        seconds = self.session.place.worked.last
        if before.since is not None and seconds:
            self.worked[-1].append((before.since + before.slept, at))
            self.groups[index].seconds += seconds
            self._step += seconds

    def _see_groups(self, event: Event, before: Sequence[GroupLine], mode: ModeName) -> None:
        for group, was, now in zip(self.groups, before, self.session.summary(), strict=True):
            if now.state is was.state:
                continue
            if now.state not in UNCLOSED:
                what: GroupState | Deed = now.state
                words = self._trouble if now.state is GroupState.OFF else ""
            elif was.state not in UNCLOSED:
                what, words = _opened(now, mode), ""
            else:
                continue
            group.moments.append(Moment(event.at, what, event.by, now.counted, words, self.session.step))

    def _see_trouble(self, event: Event, before: str) -> None:
        """A mistake was found; or how much a group is off is told more closely."""
        trouble, group = self._trouble, self.groups[self.session.place.group]
        if not trouble or trouble == before:
            return
        counted = self.session.group.counted
        if self.session.mode is ModeName.FOUND:
            group.moments.append(Moment(event.at, Deed.FOUND, event.by, counted, trouble, self.session.step))
        elif self.session.mode in ALARM and group.moments and group.moments[-1].what is GroupState.OFF:
            by, step = group.moments[-1].by, self.session.step
            group.moments[-1] = Moment(event.at, GroupState.OFF, by, counted, trouble, step)


def _opened(now: GroupLine, mode: ModeName) -> Deed:
    if now.state is GroupState.WAITING:
        return Deed.ANEW
    return Deed.SET_RIGHT if mode is ModeName.FOUND else Deed.OPENED


def heard(events: Sequence[Event]) -> WordsHeard:
    """What the events tell of hearing: a word followed at once by "back" counts as wrong, else as right."""
    acts = [event for event in events if event.by != Origin.CLOCK]
    right: Counter[Kind] = Counter()
    wrong: Counter[Kind] = Counter()
    missed = other = 0
    for event, after in pairwise([*acts, None]):
        if event is None or event.by != Origin.VOICE:
            continue
        at_once = after is not None and after.at - event.at <= AT_ONCE_S
        if event.kind is Kind.UNCLEAR:
            said_again = at_once and after is not None and after.kind is not Kind.UNCLEAR
            missed, other = missed + said_again, other + (not said_again)
        elif at_once and after is not None and after.kind is Kind.BACK and event.kind is not Kind.BACK:
            wrong[event.kind] += 1
        else:
            right[event.kind] += 1
    kinds = [kind for kind, _ in (right + wrong).most_common()]
    return WordsHeard(tuple(WordHeard(kind, right[kind], wrong[kind]) for kind in kinds), missed, other)
