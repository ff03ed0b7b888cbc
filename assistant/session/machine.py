"""The session: one event in, effects out. It opens nothing, never sleeps, and has no clock but its events."""

from collections.abc import Iterable

from assistant.languages import Language
from assistant.session.events import Effect, Event, Part, Sound, Tone
from assistant.session.place import Place
from assistant.session.transitions import largest_answer, rule_for
from assistant.session.view import GroupLine, Mode, View
from assistant.session.wording import Wording
from assistant.warp.model import Warp

PER_CALL = 4  # the most ends in a call, unless the weaver wishes otherwise


class Session:
    """One walk over a warp, from the first call to the last closed group."""

    def __init__(self, warp: Warp, language: Language, per_call: int = PER_CALL):
        self.warp = warp
        self._words = Wording(language)
        self._place = Place(warp, per_call)

    def handle(self, event: Event) -> list[Effect]:
        """What the helper does about an event. Only this moves the session."""
        self._place.keep_time(event)
        effects = rule_for(self._place.mode, event.kind)(self._place, event, self._words)
        toned = any(isinstance(effect, Sound) for effect in effects)
        return effects if toned or event.source != "voice" else [Sound(Tone.HEARD), *effects]

    def replay(self, events: Iterable[Event]) -> None:
        """Go through past events again; their effects are not wanted twice."""
        for event in events:
            self.handle(event)

    @property
    def mode(self) -> Mode:
        """Where the session stands."""
        return self._place.mode

    @property
    def calls(self) -> int:
        """Calls in the whole warp, each threaded once."""
        return self._place.calls

    @property
    def group(self) -> GroupLine:
        """The group in hand."""
        place = self._place
        return GroupLine(place.name, place.size, place.here.counted, place.here.state)

    @property
    def threaded(self) -> int:
        """Ends counted over the whole warp."""
        return self._place.threaded

    @property
    def largest_number(self) -> int:
        """The largest number that may answer what is asked; 0 where no number is asked for."""
        return largest_answer(self._place)

    @property
    def pace(self) -> float | None:
        """The weaver's own seconds an end; None until enough was threaded."""
        return self._place.pace if self._place.pace_known else None

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group with what was expected, what was counted, and how it stands."""
        return self._place.summary()

    def phrases(self) -> list[Part]:
        """What is going to be said if all goes well, from here on, in order: to be rendered ahead."""
        return self._words.ahead(self._place)

    def view(self) -> View:
        """The session at this moment, ready to show."""
        place = self._place
        calling = place.mode is Mode.CALLING
        call = place.call() if calling else None
        return View(
            title=self.warp.title,
            mode=place.mode,
            call=tuple(end.shafts for end in call.ends) if call else (),
            yarns=tuple(self._words.yarn(self.warp, end) for end in call.ends) if call else (),
            prompt=self._words.prompt_line(place),
            group=place.name,
            group_number=place.group + 1,
            groups=len(place.groups),
            counted=place.here.counted,
            expected=place.size,
            threaded=place.threaded,
            ends=place.ends,
            first_end=call.first_end if call else 0,
            seconds_left=place.left * place.pace,
            pace_known=place.pace_known,
            summary=place.summary(),
        )
