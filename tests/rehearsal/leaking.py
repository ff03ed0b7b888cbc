"""A room in which the ear hears the mouth: a little through headphones, much through a loudspeaker, late, with echo."""

from dataclasses import dataclass, field

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.rehearsal.aloud import EAR_STEP, STEP_S, SimulatedRoom
from assistant.rehearsal.weaver_voice import WeaverVoice
from assistant.senses.ear import Heard
from assistant.senses.ear.clip import clip_of
from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.taught import Taught
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.ear.words import TrainedWords
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load


@dataclass(frozen=True, slots=True)
class Leak:
    """How the mouth's sound comes to the ear."""

    decibels: float  # of the direct sound, with digital full scale the same at both ends
    lag_s: float = 0.1
    rt60_s: float = 0.4  # until the echo is 60 dB down; it holds as much energy as the direct sound

    def response(self) -> NDArray[np.float64]:
        """Of the room to one click: noise that dies away exponentially."""
        length = round(self.rt60_s * EAR_RATE)
        tail = np.random.default_rng(3).normal(size=length) * 10 ** (-3 * np.arange(length) / length)
        click = np.append(1.0, tail[1:] / np.sqrt((tail[1:] ** 2).sum()))
        return np.concatenate([np.zeros(round(self.lag_s * EAR_RATE)), click * 10 ** (self.decibels / 20)])


@dataclass(slots=True)
class LeakyRoom(SimulatedRoom):
    """A room whose ear also hears the mouth."""

    leak: Leak = field(default_factory=lambda: Leak(-40))
    patience_s: float | None = None  # how long the weaver listens before speaking; None: until the mouth is silent
    heard: list[Heard] = field(default_factory=list)  # all that the ear made of anything
    _coming: NDArray[np.float64] = field(init=False)
    _response: NDArray[np.float64] = field(init=False)
    _resample: soxr.ResampleStream = field(init=False)

    def __post_init__(self) -> None:
        self._response = self.leak.response()
        self._coming = np.zeros(0)
        self._resample = soxr.ResampleStream(MOUTH_RATE, EAR_RATE, 1, dtype="float32")

    def step(self, spoken: NDArray[np.int16] | None = None) -> list[Heard]:
        heard = super(LeakyRoom, self).step(spoken)
        self.heard += heard
        return heard

    def wait_for_quiet(self) -> None:
        if self.patience_s is None:
            super(LeakyRoom, self).wait_for_quiet()
        else:
            for _ in range(round(self.patience_s / STEP_S)):
                self.step()

    def around(self) -> NDArray[np.float64]:
        played = self._resample.resample_chunk(self.helper[-1]).astype(np.float64) * 32768
        points = 1 << (len(played) + len(self._response)).bit_length()
        echo = np.fft.irfft(np.fft.rfft(played, points) * np.fft.rfft(self._response, points), points)
        self._coming = np.pad(self._coming, (0, max(0, points - len(self._coming))))
        self._coming[:points] += echo
        now, self._coming = self._coming[:EAR_STEP], self._coming[EAR_STEP:]
        return super(LeakyRoom, self).around() + now


def taught_in(voice: WeaverVoice, kinds: tuple[str, ...]) -> NeuralEngine:
    """An ear that was taught these commands in a voice, three examples each."""
    language, quiet, words = load("en"), np.zeros(EAR_RATE, np.int16), TrainedWords("en")
    said: list[tuple[str, Mel]] = []
    for place, kind in enumerate(kinds):
        for take in range(3):
            sound = np.concatenate([quiet, voice.say(language.commands[kind][0], take), quiet])
            noise = np.random.default_rng([place, take]).normal(0, 20, len(sound))
            said.append((kind, clip_of(next(WordFinder().feed((sound + noise).astype(np.int16))))))
    places = Space(words).of([clip for _, clip in said])
    examples = (Example(kind, clip, place) for (kind, clip), place in zip(said, places, strict=True))
    return NeuralEngine(language, words, Taught("own", tuple(examples)))
