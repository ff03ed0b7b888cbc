"""One browser: what it sends, what that says was done, and in answer to which step."""

import asyncio
import json
import struct
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol, cast

from assistant.clock import Clock
from assistant.senses.page.allowance import Allowance
from assistant.senses.pedal.gestures import Role, Switches
from assistant.session.events import NOT_BY_HAND, Event, Kind, Origin
from assistant.session.view import View

SOUND_BYTES = (
    64_000,
    40_000,
)  # at once, held back by a network, and a second after that; sound is 32,000
LONGEST_BLOCK = 2000  # bytes of sound, 62 ms
LONGEST_MESSAGE = 512  # characters of a message
LARGEST_STEP = 2**53 - 1  # what a page counts exactly
LARGEST_NUMBER = 999_999
BY_HAND = {kind.value: kind for kind in Kind if kind not in NOT_BY_HAND}

LATEST_S = 3.0  # from a touch until it comes in; after more the connection was lost meanwhile


class Answering(Protocol):
    """Takes what is done on a page."""

    def bounced(self, event: Event, finger: bool) -> bool:
        """Whether it is a bounce, done by a finger or by a key."""

    def answer(self, step: int, event: Event, finger: bool, refused: Callable[[], None]) -> None:
        """Take it as an answer to this step; where that is over, `refused` is called."""


class Uncounted(StrEnum):
    """Why what was done was not counted. The values are what the page is told."""

    LATE = "late"  # the session had gone on
    TWICE = "twice"  # a bounce
    LOST = "dropped"  # the connection was lost meanwhile


@dataclass(frozen=True, slots=True)
class Touched:
    """An area was touched by a finger, or a key pressed, in answer to a step; a number with NUMBER or GO_TO only.

    `at` is when, in milliseconds since this browser came, by the clock that it is told with every message.
    """

    step: int
    at: int
    kind: Kind
    finger: bool
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Switched:
    """A key that is a switch of a pedal went down, or up, while a step was shown."""

    step: int
    at: int
    key: str
    down: bool


class Sense(StrEnum):
    """For what a page may stand in. The values are what a page tells."""

    SPEAK = "speak"
    LISTEN = "listen"


@dataclass(frozen=True, slots=True)
class Wish:
    """The page would like to stand in, or not to; with the turn that it had, where it was lost and is there again."""

    sense: Sense
    on: bool
    turn: int = 0


@dataclass(frozen=True, slots=True)
class Played:
    """In this turn so many samples were heard of so many that came."""

    turn: int
    samples: int
    got: int


Done = Touched | Switched | Wish | Played


def held(text: str, longest: int) -> Any:
    """What a message of at most so many characters holds. Pure; None where it is longer, or no JSON."""
    with suppress(ValueError, RecursionError):
        return json.loads(text) if len(text) <= longest else None
    return None


def parse(text: str) -> Done | None:
    """What a message says. Pure; whatever a stranger sends gives None."""
    told = held(text, LONGEST_MESSAGE)
    match told:
        case {"step": step, "at": at, **done} if _within(step, LARGEST_STEP) and _within(at, LARGEST_STEP):
            return _done(step, at, cast(Mapping[str, object], done))
        case {"speak": bool(on), "turn": turn, **rest} | {"listen": bool(on), "turn": turn, **rest} if (
            not rest and _within(turn, LARGEST_STEP)
        ):
            return Wish(Sense.SPEAK if "speak" in told else Sense.LISTEN, on, turn)
        case {"played": played, "got": got, "turn": turn, **rest} if not rest and all(
            _within(count, LARGEST_STEP) for count in (played, got, turn)
        ):
            return Played(turn, played, got)
    return None


def _done(step: int, at: int, done: Mapping[str, object]) -> Touched | Switched | None:
    match done:
        case {"switch": str(key), "down": bool(down), **rest} if not rest:
            return Switched(step, at, key, down)
        case {"do": "number" | "go to" as do, "finger": bool(finger), "number": int(number), **rest} if not rest:
            return Touched(step, at, BY_HAND[do], finger, number) if _within(number, LARGEST_NUMBER) else None
        case {"do": str(do), "finger": bool(finger), **rest} if not rest:
            kind = BY_HAND.get(do)
            return Touched(step, at, kind, finger) if kind and kind is not Kind.NUMBER else None
    return None


def _within(number: object, largest: int) -> bool:
    return type(number) is int and 0 <= number <= largest


OnSound = Callable[[Wish | Played | bytes], bool]
OnAnswer = Callable[[int, Event, bool, Callable[[Uncounted], None]], None]


class Client:
    """One browser that was let in. Used in the thread of the server alone; `answer` may be called from it."""

    def __init__(
        self,
        answer: OnAnswer,
        switches: Mapping[str, Role],
        soon: Callable[[Callable[[], None]], None],
        clock: Clock | None = None,
        looks_only: bool = False,
        sound: OnSound = lambda told: False,
        bytes_let: Allowance | None = None,
    ) -> None:
        """`soon` does something in the thread of the server; `sound` takes sound, and what is told of it, or not.

        `bytes_let` says how much may come of it.
        """
        self.looks_only = looks_only
        self._answer, self._soon, self._clock = answer, soon, clock or Clock()
        self._sound, self._bytes_let = sound, bytes_let
        self._may_hear = False
        self._keys, self._switches = frozenset(switches), Switches(switches)
        self._began = self._clock.now()
        self._step = -1  # answered last
        self._due: asyncio.TimerHandle | None = None
        self._uncounted: Uncounted | None = None
        self.news = asyncio.Event()
        self.told: object = None  # what was sent last
        self.sounds: deque[bytes | Mapping[str, object]] = deque()  # to be sent first, and in order

    def see(self, view: View) -> None:
        """A new state is there to be sent."""
        self._switches.counting(view.largest > 0 and not view.reads, view.moves_on)
        self.news.set()

    def give(self, sound: bytes | Mapping[str, object]) -> None:
        """Something is to be sent at once: sound, dated, or a word about it."""
        self.sounds.append(struct.pack("<I", self.at) + sound if isinstance(sound, bytes) else sound)
        self.news.set()

    @property
    def at(self) -> int:
        """Milliseconds since it came, by which it dates what is done."""
        return round(1000 * (self._clock.now() - self._began))

    def uncounted(self) -> Uncounted | None:
        """Why something was not counted since this was asked last; None where everything was."""
        told, self._uncounted = self._uncounted, None
        return told

    def take(self, text: str) -> bool:
        """Do what a message says; False where it says nothing that a page of ours would."""
        told = None if self.looks_only else parse(text)
        if isinstance(told, Wish | Played):
            return self._sound(told)
        if told is None or (isinstance(told, Switched) and told.key not in self._keys):
            return False
        now = self._clock.now()
        at = min(self._began + told.at / 1000, now)
        if now - at > LATEST_S:
            self._refused(Uncounted.LOST)
        elif isinstance(told, Touched):
            self._give(told.step, Event(told.kind, at, told.number, Origin.PAGE), told.finger)
        else:
            self._step = told.step
            self._each(self._switches.change(told.key, at, told.down))
            self._wait()
        return True

    def let_hear(self) -> None:
        """Let sound come from here, from now on."""
        self._may_hear = True
        if self._bytes_let:
            self._bytes_let.widen(*SOUND_BYTES)

    def hear(self, block: bytes) -> bool:
        """Take a block of sound; False where none was to come, or one like this."""
        return self._may_hear and 0 < len(block) <= LONGEST_BLOCK and len(block) % 2 == 0 and self._sound(block)

    def close(self) -> None:
        """The browser is gone."""
        if self._due:
            self._due.cancel()

    def _each(self, events: list[Event]) -> None:
        for event in events:
            self._give(self._step, event, False)

    def _give(self, step: int, event: Event, finger: bool) -> None:
        self._answer(step, event, finger, lambda why: self._soon(lambda: self._refused(why)))

    def _refused(self, why: Uncounted) -> None:
        self._uncounted = why
        self.news.set()

    def _wait(self) -> None:
        """See to it that a gesture ends in time."""
        self.close()
        if (due := self._switches.due) is not None:
            self._due = asyncio.get_running_loop().call_later(self._clock.until(due), self._end_gestures)

    def _end_gestures(self) -> None:
        self._each(self._switches.at(self._clock.now()))
        self._wait()
