"""The session: one event in, effects out. It opens nothing, never sleeps, and has no clock but its events."""

from collections.abc import Iterable
from typing import Any

from assistant.session.care import Care
from assistant.session.events import VOICE, Effect, Event, Part, Say, Sound, Tone
from assistant.session.place import Place
from assistant.session.transitions import largest_answer, offers, rule_for
from assistant.session.view import GroupLine, Mode, View
from assistant.session.wording import Wording
from assistant.warp.model import Warp
from assistant.warp.passes import THREAD, Manner, Pass
from assistant.warp.passes.colours import bands
from assistant.words.language import Language


class Session:
    """One walk over a warp, from the first call to the last closed group."""

    def __init__(self, warp: Warp, language: Language, job: Pass[Any] = THREAD, size: int | None = None):
        """`size` is that of the pass, until the weaver wishes for another. Raises PassError, PlanError."""
        self.warp, self.job = warp, job
        self._words = Wording(language, job)
        self._place = Place(warp, job, size)
        self._care = Care(0)
        self._bands = tuple(bands(warp, group.ends) for group in warp.groups)
        self._step = 0

    def remind_to_stand_up(self, minutes: float) -> None:
        """From now on, after so many minutes of sitting; 0 for never."""
        self._care = Care(minutes)

    def handle(self, event: Event) -> list[Effect]:
        """What the helper does about an event. Only this moves the session."""
        self._step += 1
        self._care.keep_time(event, self.mode is Mode.PAUSED)
        self._place.keep_time(event)
        before = self.done
        effects = rule_for(self._place.mode, event.kind)(self._place, event, self._words)
        if self.done > before:
            effects = self._with_care(effects)
        toned = any(isinstance(effect, Sound) for effect in effects)
        return effects if toned or event.source != VOICE else [Sound(Tone.HEARD), *effects]

    def _with_care(self, effects: list[Effect]) -> list[Effect]:
        """A call is done: where it is time to stand up, say so before the next one, and not into an alarm."""
        at = next((n for n, effect in enumerate(effects) if isinstance(effect, Say)), None)
        if at is None or self.mode not in (Mode.CALLING, Mode.CLOSING) or not self._care.due:
            return effects
        self._care.begin_anew()
        return [*effects[:at], Say((self._words.stand_up(),)), *effects[at:]]

    def replay(self, events: Iterable[Event]) -> None:
        """Go through past events again; their effects are not wanted twice."""
        for event in events:
            self.handle(event)

    @property
    def step(self) -> int:
        """How many events it has taken."""
        return self._step

    @property
    def mode(self) -> Mode:
        """Where the session stands."""
        return self._place.mode

    @property
    def calls(self) -> int:
        """Calls in the whole warp."""
        return self._place.calls

    @property
    def group(self) -> GroupLine:
        """The group in hand."""
        place = self._place
        return GroupLine(place.name, place.size, place.here.counted, place.here.state)

    @property
    def group_index(self) -> int:
        """Which group is in hand, from 0."""
        return self._place.group

    @property
    def trouble(self) -> str:
        """What is wrong in the group in hand, as far as that is known; "" where nothing is."""
        return self._words.trouble(self._place)

    @property
    def done(self) -> int:
        """Units counted over the whole warp."""
        return self._place.done

    @property
    def total(self) -> int:
        """Units in the whole warp."""
        return self._place.total

    @property
    def largest_number(self) -> int:
        """The largest number that may answer what is asked, or be read aloud; 0 where there is none."""
        return self.warp.loom.shafts if self.reads else largest_answer(self._place)

    @property
    def reads(self) -> bool:
        """Rows of shafts are being read aloud."""
        return self.job.manner is Manner.READ and self.mode in (Mode.CALLING, Mode.CLOSING)

    @property
    def moves_on(self) -> bool:
        """The clock is to move the session on, at a steady pace."""
        return self.job.manner is Manner.STEADY and self.mode in (Mode.CALLING, Mode.CLOSING)

    @property
    def pace(self) -> float | None:
        """The weaver's own seconds a unit; None until enough was done."""
        return self._place.pace if self._place.pace_known else None

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group with what was expected, what was counted, and how it stands."""
        return self._place.summary()

    def phrases(self) -> list[Part]:
        """What is going to be said if all goes well, from here on, in order: to be rendered ahead."""
        return [*self._words.ahead(self._place), self._words.stand_up()]

    def told(self, phrase: str, **places: object) -> Part:
        """A phrase of the language about what goes on beside the session."""
        return self._words.beside(phrase, **places)

    def view(self) -> View:
        """The session at this moment, ready to show."""
        place, pace = self._place, self._place.pace
        call = place.call() if place.mode is Mode.CALLING else None
        following = place.following() if call else None
        told = self.job.tell(self.warp, call) if call else ()
        figures = place.look.figures if place.look else [figure for item in told for figure in item.figures]
        return View(
            title=self.warp.title,
            job=self.job.name,
            unit=self.job.unit,
            compares=self.job.compares,
            mode=place.mode,
            figures=tuple(self._words.figure(figure) for figure in figures),
            called=Say(self._words.written(self.warp, call)).text if call else "",
            aside=" ".join(self._words.item(item).text for item in told if item.aside),
            first=call.first if call else 0,
            calling=len(call.units) if call else 0,
            prompt=self._words.prompt_line(place),
            group=place.name,
            group_number=place.group + 1,
            groups=len(place.groups),
            counted=place.here.counted,
            expected=place.size,
            done=place.done,
            total=place.total,
            seconds_left=None if pace is None else place.left * pace,
            pace_known=place.pace_known,
            summary=place.summary(),
            step=self._step,
            following=self._words.announced(self.warp, following) if following else "",
            yarns=bands(self.warp, call.units) if call else (),
            bands=self._bands,
            offers=offers(place),
            largest=self.largest_number,
            reads=self.reads,
        )
