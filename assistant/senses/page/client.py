"""One browser: what it sends, what that says was done, and in answer to which step."""

import asyncio
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assistant.clock import Clock
from assistant.senses.pedal.gestures import Role, Switches
from assistant.session.events import Event, Kind, Origin
from assistant.session.view import View

LONGEST_MESSAGE = 512  # characters of a message
LARGEST_STEP = 2**53 - 1  # what a page counts exactly
LARGEST_NUMBER = 999_999
NOT_BY_HAND = (
    *(Kind.SIT_DOWN, Kind.READ, Kind.UNCLEAR),
    *(Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED, Kind.CLOCK_SET, Kind.SLEPT),
)
BY_HAND = {kind.value: kind for kind in Kind if kind not in NOT_BY_HAND}

OnAnswer = Callable[[int, Event, Callable[[], None]], None]  # step, event, what is called where it is refused


@dataclass(frozen=True, slots=True)
class Touched:
    """Something was touched, or a key pressed, in answer to a step; a number only where the kind is NUMBER or GO_TO."""

    step: int
    kind: Kind
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Switched:
    """A key that is a switch of a pedal went down, or up, while a step was shown."""

    step: int
    key: str
    down: bool


def parse(text: str) -> Touched | Switched | None:
    """What a message says. Pure; whatever a stranger sends gives None."""
    if len(text) > LONGEST_MESSAGE:
        return None
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        return None
    match told:
        case {"step": step, "switch": str(key), "down": bool(down), **rest} if not rest and _within(step, LARGEST_STEP):
            return Switched(step, key, down)
        case {"step": step, "do": "number", "number": number, **rest} if not rest and _within(step, LARGEST_STEP):
            return Touched(step, Kind.NUMBER, number) if _within(number, LARGEST_NUMBER) else None
        case {"step": step, "do": "go to", "number": number, **rest} if not rest and _within(step, LARGEST_STEP):
            return Touched(step, Kind.GO_TO, number) if _within(number, LARGEST_NUMBER) else None
        case {"step": step, "do": str(do), **rest} if not rest and _within(step, LARGEST_STEP):
            kind = BY_HAND.get(do)
            return Touched(step, kind) if kind and kind is not Kind.NUMBER else None
    return None


def _within(number: object, largest: int) -> bool:
    return type(number) is int and 0 <= number <= largest


class Client:
    """One browser that was let in. Used in the thread of the server alone; `answer` may be called from it."""

    def __init__(
        self,
        answer: OnAnswer,
        switches: Mapping[str, Role],
        soon: Callable[[Callable[[], None]], None],
        clock: Clock | None = None,
    ) -> None:
        """`soon` does something in the thread of the server."""
        self._answer, self._soon, self._clock = answer, soon, clock or Clock()
        self._keys, self._switches = frozenset(switches), Switches(switches)
        self._step = -1  # answered last
        self._due: asyncio.TimerHandle | None = None
        self._late = False
        self.news = asyncio.Event()
        self.told: object = None  # what was sent last

    def see(self, view: View) -> None:
        """A new state is there to be sent."""
        self._switches.counting(view.largest > 0 and not view.reads, view.moves_on)
        self.news.set()

    def was_late(self) -> bool:
        """Whether something was refused since this was asked last."""
        late, self._late = self._late, False
        return late

    def take(self, text: str) -> bool:
        """Do what a message says; False where it says nothing that a page of ours would."""
        at = self._clock.now()
        match parse(text):
            case Touched(step, kind, number):
                self._give(step, Event(kind, at, number, Origin.PAGE))
                return True
            case Switched(step, key, down) if key in self._keys:
                self._step = step
                self._each(self._switches.change(key, at, down))
                self._wait()
                return True
        return False

    def close(self) -> None:
        """The browser is gone."""
        if self._due:
            self._due.cancel()

    def _each(self, events: list[Event]) -> None:
        for event in events:
            self._give(self._step, event)

    def _give(self, step: int, event: Event) -> None:
        self._answer(step, event, lambda: self._soon(self._refused))

    def _refused(self) -> None:
        self._late = True
        self.news.set()

    def _wait(self) -> None:
        """See to it that a gesture ends in time."""
        self.close()
        if (due := self._switches.due) is not None:
            self._due = asyncio.get_running_loop().call_later(self._clock.until(due), self._end_gestures)

    def _end_gestures(self) -> None:
        self._each(self._switches.at(self._clock.now()))
        self._wait()
