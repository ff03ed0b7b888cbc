"""The ear that hears the numbers a voice says, to tell whether they are understood."""

from collections.abc import Mapping

import numpy as np

from assistant.senses.ear.neural_engine import ENOUGH, LESS, NeuralEngine
from assistant.senses.ear.utterance import FRAME, MARGIN, Utterance
from assistant.senses.ear.words import TrainedWords
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.resampling import resampled
from assistant.senses.sound import EAR_RATE, sixteen_bits
from assistant.words.language import load

ROOM = 0.0003  # root mean square of the noise of a quiet room, in which a clip is heard


class EarForNumbers:
    """Hears clips of one language, by its code, as it hears a weaver who says a number that was asked for."""

    enough = ENOUGH * LESS

    def __init__(self, code: str) -> None:
        self._engine = NeuralEngine(load(code), TrainedWords(code))

    def hear(self, clip: Samples) -> Mapping[int, float]:
        """How likely each number is."""
        around = MARGIN * FRAME
        sound = np.pad(resampled(clip, MOUTH_RATE, EAR_RATE), around)
        room = np.random.default_rng(0).normal(0, ROOM, len(sound))
        seconds = (len(sound) - 2 * around) / EAR_RATE
        return self._engine.numbers(Utterance(sixteen_bits(sound + room), 0.0, seconds, seconds))
