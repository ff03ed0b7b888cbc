"""The session: one event in, effects out. It opens nothing, never sleeps, and has no clock but its events."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import compress, count
from operator import is_not
from typing import Any

from assistant.meaning import Tell
from assistant.session.edit import fitting
from assistant.session.events import Effect, Event, Kind, Origin, Sound, Tone
from assistant.session.hints import hints
from assistant.session.modes import Calling, Closing, ModeName, There
from assistant.session.place import Course, Place
from assistant.session.pointing import pointing
from assistant.session.rule import Done, Telling, answers, is_an_answer
from assistant.session.rules import follow, offers
from assistant.session.rules_looking import about, as_it_stood, come_of, taken_up
from assistant.session.telling import ahead, asked_for, figures, taken, waited_for
from assistant.session.view import GroupLine, View
from assistant.session.worked import Care
from assistant.warp.model import Warp
from assistant.warp.passes import THREAD, Call, Item, Knot, Manner, Pass, dents
from assistant.warp.passes.colours import Band, bands
from assistant.warp.passes.pace import time

STAND_UP = Tell("stand up")


class Session:
    """One walk over a warp, from the first call to the last closed group."""

    def __init__(self, warp: Warp, job: Pass[Any] = THREAD, size: int | None = None):
        """`size` is that of the pass, until the weaver wishes for another. Raises PassError, PlanError."""
        self.warp, self.job = warp, job
        self._place = Place.beginning(Course(warp, job, size))
        self._care = Care()
        self._own_pace: float | None = None
        self._bands = _bands(self._place.course.warp)
        self._step = 0
        self._refused = False
        self._groups, self._lines = self._place.groups, list(self._place.summary())

    def remind_to_stand_up(self, minutes: float) -> None:
        """From now on, after so many minutes of sitting; 0 for never."""
        self._care = Care(minutes * 60)

    def reckon_by(self, pace: float | None) -> None:
        """Tell the time left by this pace of the weaver's, in seconds a unit, until her pace on this warp is known."""
        self._own_pace = pace

    def handle(self, event: Event) -> list[Effect]:
        """What the helper does about an event. Only this and `replay` move the session."""
        before = self._place.done
        _, effects = self._take(event)
        self._place, further = come_of(self._place)
        told = list(_told(self._place, [*effects, *further]))
        if self._place.done > before:
            told = self._with_care(told)
        toned = any(isinstance(effect, Sound) for effect in told)
        return told if toned or event.by != Origin.VOICE else [Sound(Tone.HEARD), *told]

    def replay(self, events: Iterable[Event]) -> None:
        """Go through past events again; their effects are not wanted twice."""
        for event in events:
            self._take(event)
        self._place = taken_up(self._place)

    def found_by(self, event: Event) -> Event:
        """The event, about to be taken, as it is to be kept: with what of a search it finds."""
        return replace(event, about=about(self._place.mode, event))

    def _take(self, event: Event) -> Done:
        self._step += 1
        place = as_it_stood(self._place, event).keep_time(event)
        self._refused = event.kind is Kind.NUMBER and not self.reads and not is_an_answer(place, place.mode, event)
        self._care = self._care.keep_time(place.worked)
        done = follow(place, event)
        self._place = done[0] if event.kind is Kind.HELP else replace(done[0], helped=0)
        if event.kind is Kind.EDITED and (edit := fitting(event.about, len(place.groups), self.job)):
            self.warp = edit.warp
        if self._place.course.warp is not place.course.warp:
            self._bands = _bands(self._place.course.warp)
            self._groups, self._lines = self._place.groups, list(self._place.summary())
        return done

    def _with_care(self, effects: list[Effect]) -> list[Effect]:
        """A call is done: where it is time to stand up, say so before the next one, and not into an alarm."""
        at = next((n for n, effect in enumerate(effects) if isinstance(effect, Tell)), None)
        if at is None or not isinstance(self._place.mode, Calling | Closing) or not self._care.due:
            return effects
        self._care = Care(self._care.after)
        return [*effects[:at], STAND_UP, *effects[at:]]

    @property
    def step(self) -> int:
        """How many events it has taken."""
        return self._step

    @property
    def place(self) -> Place:
        """Where it stands: a value that no later event changes."""
        return self._place

    @property
    def mode(self) -> ModeName:
        """The name of the mode it is in."""
        return self._place.mode.name

    @property
    def group(self) -> GroupLine:
        """The group in hand."""
        return self._place.line(self._place.group)

    @property
    def done(self) -> int:
        """Units counted over the whole warp."""
        return self._place.done

    @property
    def total(self) -> int:
        """Units in the whole warp."""
        return self._place.course.total

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group with what was expected, what was counted, and how it stands."""
        groups = self._place.groups
        for changed in compress(count(), map(is_not, groups, self._groups)):  # few, since the last summary
            self._lines[changed] = self._place.line(changed)
        self._groups = groups
        return tuple(self._lines)

    @property
    def calls(self) -> int:
        """Calls in the whole warp."""
        return sum(map(len, self._place.course.calls))

    @property
    def largest_number(self) -> int:
        """The largest number that may answer what is asked, or be read aloud; 0 where there is none.

        Where 0 alone answers it is 1, so that it is known that a number is asked for.
        """
        numbers = answers(self._place, self._place.mode)
        return max(1, numbers[-1]) if numbers else 0

    @property
    def reads(self) -> bool:
        """Rows of shafts are being read aloud."""
        return self._goes_on(Manner.READ)

    @property
    def moves_on(self) -> bool:
        """The clock is to move the session on, at a steady pace."""
        return self._goes_on(Manner.STEADY)

    def _goes_on(self, manner: Manner) -> bool:
        return self.job.manner is manner and isinstance(self._place.mode, Calling | Closing)

    def ahead(self) -> Iterator[Tell]:
        """What is going to be told if all goes well, from here on, in order: to be rendered ahead."""
        yield from ahead(self._place)
        yield STAND_UP

    def view(self) -> View:
        """The session at this moment, ready to show."""
        place = self._place
        call = place.call() if isinstance(place.mode, Calling) else None
        following = place.following() if call else None
        if isinstance(place.mode, There):
            call = place.course.call_of(place.group, place.mode.at)
        called = self._items(call)
        left = time(self.job, place.left, place.pace or self._own_pace)
        return View(
            title=self.warp.title,
            job=self.job.name,
            unit=place.course.unit,
            compares=self.job.compares,
            mode=place.mode.name,
            figures=asked_for(place) or tuple(figure for item in called for figure in item.figures) or figures(place),
            called=called,
            first=call.first if call else 0,
            calling=len(call.units) if call else 0,
            prompt=waited_for(place),
            taken=taken(place),
            again=bool(asked_for(place)),
            group=place.name,
            group_number=place.group + 1,
            groups=len(place.groups),
            counted=place.done_here,
            expected=place.size,
            over=place.here.over,
            lacking=place.here.lacking,
            over_in_ends=place.course.in_heddles,
            done=place.done,
            total=place.course.total,
            left=left,
            summary=self.summary(),
            step=self._step,
            following=self._items(following),
            following_group=place.course.warp.groups[following.group].name if following and not following.start else "",
            yarns=bands(place.course.warp, call.units) if call else (),
            before=call.start if call else 0,
            home=place.course.warp.groups[place.home.group].name if place.home else "",
            bands=self._bands,
            size_option=self.job.size.option,
            palette=place.course.warp.yarns,
            shafts=place.course.warp.loom.shafts,
            shaft_1=place.course.warp.loom.shaft_1,
            start=place.course.warp.start,
            outward=place.course.outward,
            pointing=pointing(place),
            dents=dents(call.units) if call else (),
            knots=tuple(unit for unit in call.units if isinstance(unit, Knot)) if call else (),
            offers=(offered := offers(place)),
            hints=hints(place.mode.name, self.job.name, offered, place.home is not None),
            answers=tuple(answers(place, place.mode)),
            largest=self.largest_number,
            refused=self._refused,
            reads=self.reads,
            moves_on=self.moves_on,
        )

    def _items(self, call: Call[Any] | None) -> tuple[Item, ...]:
        return tuple(self.job.tell(self._place.course.warp, call)) if call else ()


def _bands(warp: Warp) -> tuple[tuple[Band, ...], ...]:
    return tuple(bands(warp, group.ends) for group in warp.groups)


def _told(place: Place, effects: Iterable[Effect | Telling]) -> Iterator[Effect]:
    """The effects, with what is told of the place where it belongs."""
    for effect in effects:
        if callable(effect):
            yield from effect(place)
        else:
            yield effect
