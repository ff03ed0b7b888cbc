"""How like a sound is to words taught, and what examples are worth, with made-up places."""

import numpy as np
import pytest
from numpy.typing import NDArray
from said import alone, word

from assistant.senses.ear.clip import FRAMES, LEVEL, clip_of
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.judging import Example, judge
from assistant.senses.ear.likeness import (
    AMID,
    ANYONES,
    BESIDE,
    LEVEL_OF_BANDS,
    LIKE,
    STEEP,
    Likeness,
    Space,
    amid,
    standing,
    sure,
)
from assistant.senses.ear.taught import amid_noises
from assistant.senses.ear.words import TrainedWords

NUMBERS = 32  # of a place
Places = NDArray[np.float32]


class Made:
    """A network whose strangers all lie along one direction, a little apart."""

    def __init__(self) -> None:
        chance = np.random.default_rng(1)
        vectors = chance.normal(0, 0.1, (500, NUMBERS)) + np.eye(NUMBERS)[0]
        self.strangers = np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True), np.float32)

    def scores(self, features: Places) -> tuple[Places, Places]:
        return features[:, 0, :NUMBERS], features[:, 0, :1]


def near(word: str, take: int, spread: float = 0.4) -> Places:
    place = np.random.default_rng([*word.encode()]).normal(size=NUMBERS)
    place += np.random.default_rng([take, *word.encode()]).normal(0, spread, NUMBERS)
    return np.asarray(place / np.linalg.norm(place), np.float32)


def example(word: str, sound: str, take: int) -> Example:
    return Example(word, np.zeros((FRAMES, BANDS), np.float32), near(sound, take))


def test_what_all_speech_has_in_common_tells_nothing() -> None:
    made = Made()
    space = Space(made)
    assert (made.strangers[:50] @ made.strangers[50:100].T).mean() > 0.7
    places = space.places(made.strangers[:100])
    assert np.linalg.norm(places, axis=1) == pytest.approx(1, abs=1e-5)
    assert abs((places[:50] @ places[50:].T).mean()) < 0.05


def test_another_network_is_another_space() -> None:
    other = Made()
    other.strangers = other.strangers[::-1].copy()
    assert Space(Made()).version == Space(Made()).version != Space(other).version


def test_a_word_is_like_its_own_examples_and_less_so_beside_another_like_it() -> None:
    words = ["a", "a", "b"]
    places = np.stack([near("a", 0), near("a", 1), near("b", 0)])
    both = Likeness(words, places)
    assert both.words == ["a", "b"]
    like = both.of(np.stack([near("a", 5), near("b", 5)]))
    assert like.argmax(axis=1).tolist() == [0, 1]
    assert (like <= 1).all()
    alone = Likeness(words[:2], places[:2]).of(near("a", 5)[None])
    twice = Likeness(["a", "a", "b", "b"], places[[0, 1, 0, 1]]).of(near("a", 5)[None])
    of_itself = alone[0, 0] + BESIDE * ANYONES
    assert twice[0] == pytest.approx((1 - BESIDE) * of_itself, abs=1e-5)


def test_a_word_is_the_surer_the_more_it_is_like_its_examples() -> None:
    assert sure(LIKE, 0.8) == pytest.approx(0.8)
    more = sure(LIKE + 1 / STEEP, 0.8)
    assert more / (1 - more) == pytest.approx(np.e * 0.8 / 0.2)
    assert 0 < sure(-1, 0.8) < 0.01


def test_examples_said_loosely_are_all_good() -> None:
    examples = [example(word, word, take) for word in "abcde" for take in range(3)]
    judged = judge(examples)
    assert (judged.good, judged.faults, judged.alike) == (tuple(range(15)), {}, ())


def test_one_example_of_a_word_is_good() -> None:
    assert judge([example("a", "a", 0)]).good == (0,)
    assert judge([example("a", "a", 0), example("b", "b", 0)]).faults == {}


def test_a_slip_and_a_cough_are_found_and_what_is_settled_is_not_in_question() -> None:
    said = [("a", "a"), ("a", "a"), ("a", "a"), ("b", "b"), ("b", "b"), ("b", "a"), ("c", "c"), ("c", "c"), ("c", "x")]
    examples = [example(word, sound, take) for take, (word, sound) in enumerate(said)]
    judged = judge(examples)
    assert {place: (fault.word, fault.like) for place, fault in judged.faults.items()} == {5: ("b", "a"), 8: ("c", "")}
    assert judge(examples, settled=8).faults.keys() == {8}


def test_two_words_that_are_said_alike_are_told_and_both_kept() -> None:
    judged = judge([example(word, "a", take) for take, word in enumerate("aaabbb")])
    assert (judged.faults, judged.alike) == ({}, (("b", "a"),))


def test_amid_a_noise_a_word_stands_out_as_far_as_told() -> None:
    spoken = np.full((FRAMES, BANDS), 5, np.float32)
    spoken[80:130] = LEVEL
    assert standing(spoken) == pytest.approx(LEVEL - 5)
    assert standing(amid(spoken, 0.9)) == pytest.approx(0.9 + LEVEL_OF_BANDS, abs=0.5)
    np.testing.assert_allclose(amid(spoken, 9.0)[80:130], spoken[80:130], atol=0.01)


def test_in_a_noise_a_word_is_as_like_as_its_examples_amid_one() -> None:
    network = TrainedWords("en")
    space = Space(network)
    said = clip_of(alone(word("finished")))
    noisy = amid(said, 0.8)
    near, amid_noise = (Likeness(["finished"], space.of([each])) for each in (said, amid(said, 0.9)))
    assert amid_noise.of(space.of([noisy]))[0, 0] > near.of(space.of([noisy]))[0, 0] + 0.05


def test_what_is_known_of_examples_amid_noises_is_not_computed_again() -> None:
    space = Space(TrainedWords("en"))
    clips = [clip_of(alone(word(text))) for text in ("next", "back")]
    known = np.zeros((len(AMID), space.numbers), np.float32)
    examples = [
        Example("next", clip, space.of([clip])[0], amid=at) for clip, at in zip(clips, (known, None), strict=True)
    ]
    found = amid_noises(examples, space)
    assert found.shape == (len(AMID), 2, space.numbers)
    np.testing.assert_array_equal(found[:, 0], known)
    np.testing.assert_array_equal(found[:, 1], space.amid(clips[1]))
