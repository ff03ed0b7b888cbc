"""The engine of the neural ear, with the nearest of a few words said before in place of a trained network."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray
from weaver import NUMBERS, WORDS, noisy, say

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import Mel, features
from assistant.senses.ear.engine import MOST_IN_ROW
from assistant.senses.ear.neural_engine import ENOUGH, NO_WORD, NeuralEngine, after_talk
from assistant.senses.ear.row import dips
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Kind
from assistant.words.language import load

pytest.importorskip("hibari")

from said import alone, hear, listen, pause, room, word

ANEW = 4  # a take that was not among those said before
OTHERS = ("people", "window", "music", "candle", "kitchen", "yellow", "thank you", "seventy")
ENGLISH = load("en")


class Nearest:
    """A word fits the better the nearer its features are to those it had before; everything else, to other words."""

    strangers = np.eye(2, dtype=np.float32)  # nothing is taught

    def __init__(self, texts: Sequence[str], others: Sequence[str]):
        said = {text: text for text in texts} | dict.fromkeys(others, NO_WORD)
        self.names = [*texts, NO_WORD]
        self._before = [(name, self._vector(said_before(text, 0)[None])) for text, name in said.items()]

    def scores(self, clips: Mel) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        vectors = self._vector(features(clips))
        distances = {
            name: np.min([np.linalg.norm(vectors - known, axis=1) for each, known in self._before if each == name], 0)
            for name in self.names
        }
        return vectors, np.stack([-15 * distances[name] for name in self.names], axis=1).astype(np.float32)

    @staticmethod
    def _vector(of: NDArray[np.float32]) -> NDArray[np.float32]:
        flat = of.reshape(len(of), -1)
        return np.asarray(flat / np.linalg.norm(flat, axis=1, keepdims=True), np.float32)


def said_before(text: str, take: int) -> NDArray[np.float32]:
    said = say(text, take)
    return features(clip(room(pause(1), said, pause(0.3)), EAR_RATE, EAR_RATE + len(said)))


@pytest.fixture(scope="module")
def engine() -> NeuralEngine:
    return NeuralEngine(ENGLISH, Nearest([*WORDS.values(), "back", *NUMBERS.values(), "twenty-one"], OTHERS))


@pytest.mark.parametrize("kind", WORDS)
def test_a_command_is_heard(engine: NeuralEngine, kind: str) -> None:
    (heard,) = listen(engine, room(pause(1), say(WORDS[kind], ANEW), pause(1)))
    assert heard.kind is Kind(kind)
    assert ENOUGH <= heard.score <= 1


def test_a_word_is_doubted_after_talk_as_loud_as_it_is() -> None:
    assert after_talk(0.9, -np.inf) == after_talk(0.9, -12.0) == pytest.approx(0.9)
    assert after_talk(0.99, -5.0) > ENOUGH > after_talk(0.99, 0.0) > after_talk(0.9, 0.0)
    assert after_talk(1.0, np.inf) == pytest.approx(0, abs=1e-6)
    assert after_talk(0.0, -np.inf) == pytest.approx(0, abs=1e-6)


def test_numbers_are_heard_only_where_one_is_asked_for(engine: NeuralEngine) -> None:
    sound = [part for text in NUMBERS.values() for part in (say(text, ANEW), pause(1))]
    assert [heard.kind for heard in hear(engine, *sound) if heard.kind] == []
    assert [heard.number for heard in hear(engine, *sound, largest=4)] == [1, 2, 3, 4]
    assert [heard.number for heard in hear(engine, *sound, largest=2) if heard.kind] == [1, 2]


def test_a_command_that_may_not_be_said_beside_a_number_is_not_understood(engine: NeuralEngine) -> None:
    assert [heard.kind for heard in hear(engine, say("next", ANEW), largest=4)] == [None]
    assert [heard.kind for heard in hear(engine, say("repeat", ANEW), largest=4)] == [Kind.REPEAT]


def test_words_that_mean_one_thing_are_likely_together(engine: NeuralEngine) -> None:
    class Torn:
        names = ("back", "previous", "next", NO_WORD)
        strangers = np.eye(2, dtype=np.float32)

        def scores(self, clips: Mel) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
            shares = np.array([0.5, 0.4, 0.05, 0.05], np.float32)
            return clips, np.tile(np.log(shares), (len(clips), 1))

    (found,) = NeuralEngine(ENGLISH, Torn()).recognise([alone(pause(0.5))], 0)
    assert found is not None
    assert found[0] == "back"
    assert found[1] == pytest.approx(0.9)


def test_a_row_is_heard_with_small_pauses(engine: NeuralEngine) -> None:
    row = [part for text in ("three", "one", "four", "two") for part in (say(text, ANEW), pause(0.2))]
    (heard,) = hear(engine, *row, largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.READ, (3, 1, 4, 2))
    (heard,) = hear(engine, say("finished", ANEW), largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.FINISHED, ())


@pytest.mark.parametrize("row", [(3, 4, 1, 2), (1, 1, 2, 2), (4,)])
def test_a_row_is_heard_without_pauses(engine: NeuralEngine, row: tuple[int, ...]) -> None:
    (heard,) = hear(engine, *(say(NUMBERS[str(number)], ANEW) for number in row), largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.READ, row)


def test_a_row_may_be_of_twelve_numbers_and_no_more(engine: NeuralEngine) -> None:
    one = say("one", ANEW)
    (heard,) = hear(engine, *[sound for _ in range(MOST_IN_ROW) for sound in (one, pause(0.15))], largest=4, row=True)
    assert heard.row == (1,) * MOST_IN_ROW
    sounds = [sound for _ in range(MOST_IN_ROW + 1) for sound in (one, pause(0.15))]
    assert [heard.kind for heard in hear(engine, *sounds, largest=4, row=True) if heard.kind] == []


def test_a_dip_lies_between_two_peaks() -> None:
    levels = np.array([[0, 10, 20, 12, 13, 19, 20, 15, 20, 5, 4, 30, 0]]).T
    assert dips((10 ** (levels / 10)).astype(np.float32), 100) == [103, 110]


def test_a_row_with_another_word_in_it_is_not_understood(engine: NeuralEngine) -> None:
    row = [part for text in ("three", "people", "two") for part in (say(text, ANEW), pause(0.2))]
    assert [heard.kind for heard in hear(engine, *row, largest=4, row=True)] == [None]


def test_other_words_are_not_understood(engine: NeuralEngine) -> None:
    heard = hear(engine, *[part for text in OTHERS for part in (word(text), pause(1))])
    assert [each.kind for each in heard] == [None] * len(heard)


def test_silence_noise_and_scraps_are_not_heard(engine: NeuralEngine) -> None:
    assert hear(engine, pause(5)) == []
    hiss = sixteen_bits(np.random.default_rng(0).normal(0, 3000, 5 * EAR_RATE), FULL_SCALE)
    assert [heard.kind for heard in hear(engine, hiss) if heard.kind] == []
    for length in (0, 1, 200, 400, 8000):
        assert engine.recognise_row(np.zeros(length, np.int16), 4) is None


def test_how_loud_a_word_is_makes_no_difference_to_its_clip() -> None:
    said = noisy(room(pause(1), say("next", 0), pause(0.5)), 30)
    spoken = EAR_RATE, EAR_RATE + len(say("next", 0))
    assert clip(said, *spoken) == pytest.approx(clip(said // 4, *spoken), abs=0.3)


def test_what_came_before_a_word_is_no_part_of_its_clip() -> None:
    said = room(say("next", 0))
    quiet, talk = room(pause(1)), room(word("people"), pause(1))[-EAR_RATE:]
    start, end = EAR_RATE, EAR_RATE + len(said)
    alone, after_talk = (clip(np.concatenate([before, said, room(pause(0.3))]), start, end) for before in (quiet, talk))
    assert np.abs(alone - after_talk).mean() < 0.2  # 2 dB: the noise of the room is another
    assert clip(said, 0, len(said)).shape == alone.shape
