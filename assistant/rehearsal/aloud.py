"""A rehearsal aloud: the weaver speaks to the real ear and listens to the real mouth, through a cable in memory."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assistant.errors import RehearsalError
from assistant.rehearsal.outcome import Report
from assistant.rehearsal.weaver import Act, Weaver
from assistant.rehearsal.weaver_voice import WeaverVoice
from assistant.senses.ear import Heard, Listener
from assistant.senses.mouth import perform
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.speaker import Cable
from assistant.senses.resampling import resampled
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Event, Kind, Origin
from assistant.words.language import Language

STEP_S = 0.02
MOUTH_STEP, EAR_STEP = round(STEP_S * MOUTH_RATE), round(STEP_S * EAR_RATE)
QUIET_LEVEL = 0.01  # of full scale: below it the helper has stopped speaking
QUIET_S = 0.5  # how long it must stay below before the weaver speaks
PATIENCE_S = 1.5  # how long the weaver waits to be understood
TRIES = 6
ROOM_NOISE = 20.0  # standard deviation of a quiet room's noise, of 32,768


@dataclass(slots=True)
class SimulatedRoom:
    """Mouth, ear and weaver in the same quiet room, on a clock of their own."""

    mouth: Cable
    ear: Listener
    seed: int
    helper: list[NDArray[np.float32]] = field(default_factory=list)
    weaver: list[NDArray[np.int16]] = field(default_factory=list)

    @property
    def now(self) -> float:
        """Seconds since the start."""
        return len(self.helper) * STEP_S

    def step(self, spoken: NDArray[np.int16] | None = None) -> list[Heard]:
        """Let a moment pass, the weaver speaking or silent; what the ear made of it."""
        self.helper.append(self.mouth.pull(MOUTH_STEP))
        self.weaver.append(np.zeros(EAR_STEP, np.int16) if spoken is None else spoken)
        block = sixteen_bits(self.weaver[-1] + self.around(), FULL_SCALE)
        return self.ear.listen(block, self.mouth.speaking())

    def around(self) -> NDArray[np.float64]:
        """What the ear hears beside the weaver: the noise of a quiet room."""
        return np.random.default_rng((self.seed, len(self.helper))).normal(0, ROOM_NOISE, EAR_STEP)

    def wait_for_quiet(self) -> None:
        """The weaver listens until the helper has finished."""
        quiet = 0.0
        while quiet < QUIET_S:
            self.step()
            quiet = quiet + STEP_S if np.abs(self.helper[-1]).max() < QUIET_LEVEL else 0.0

    def say(self, clip: NDArray[np.int16]) -> Heard | None:
        """Speak, then wait to be understood."""
        steps = -(-len(clip) // EAR_STEP)
        spoken = np.pad(clip, (0, steps * EAR_STEP - len(clip))).reshape(steps, EAR_STEP)
        for block in (*spoken, *[None] * round(PATIENCE_S / STEP_S)):
            if heard := self.step(block):
                return heard[0]
        return None

    def sound(self) -> NDArray[np.float32]:
        """All that was to be heard, at the mouth's rate."""
        helper = np.concatenate(self.helper)
        weaver = resampled(np.concatenate(self.weaver).astype(np.float32) / np.float32(32768), EAR_RATE, MOUTH_RATE)
        weaver = np.pad(weaver, (0, max(0, len(helper) - len(weaver))))[: len(helper)]
        return np.asarray(np.clip(helper + weaver, -1, 1), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Aloud:
    """One rehearsal aloud."""

    report: Report
    weaver: Weaver
    room: SimulatedRoom
    voice: WeaverVoice
    language: Language

    def run(self) -> None:
        """Go through the whole session. Raises RehearsalError where the ear never understands a word."""
        self._answer(Event(Kind.SIT_DOWN, self.room.now, source=Origin.CLOCK))
        while not self.report.left:
            for act in self.weaver.act(self.report.session.view()):
                if not self._understood(act):
                    break
        self.room.wait_for_quiet()

    def _understood(self, act: Act) -> bool:
        """Say it until it is understood; False where something else was, and the session moved."""
        word = self._word(act)
        before = self._place()
        for take in range(TRIES):
            clip = self.voice.say(word, take)
            self.room.wait_for_quiet()
            self.report.note_said(self.room.now, word)
            heard = self.room.say(clip)
            kind = Kind(heard.kind) if heard and heard.kind else None
            number = heard.number if heard else None
            self.report.note_heard((act.kind, act.number), (kind, number))
            if heard:
                self._answer(Event(kind or Kind.UNCLEAR, self.room.now, number, Origin.VOICE))
            if (kind, number) == (act.kind, act.number):
                return True
            if self._place() != before:
                return False
        raise RehearsalError(
            "the ear did not understand {word!r} in {tries} tries; try another --voice or --ear",
            word=word,
            tries=TRIES,
        )

    def _word(self, act: Act) -> str:
        if act.kind is Kind.NUMBER:
            return self.language.numbers[act.number or 0]
        return self.language.commands[act.kind.value][0] if act.kind else self.language.decoys[0]

    def _place(self) -> tuple[object, ...]:
        view = self.report.session.view()
        return view.mode, view.group, view.counted

    def _answer(self, event: Event) -> None:
        effects = self.report.handle(event)
        self.room.ear.expect(self.report.session.largest_number)
        perform(self.room.mouth, effects)
