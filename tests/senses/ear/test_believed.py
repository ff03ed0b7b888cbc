"""A weaver who says again what was not understood: what is believed, with made-up vectors and a made-up engine."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.senses.ear.believed import LIKE, MOST, WITHIN_S, Correction, Corrections, Weighed, believed, beside
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.judging import Example
from assistant.senses.ear.listener import Listener
from assistant.senses.ear.utterance import Utterance
from assistant.senses.sound import NOTHING
from assistant.words.language import Language, load

CLIP = np.zeros((FRAMES, BANDS), np.float32)


def place(like: float) -> NDArray[np.float32]:
    """One that is as like as that, as a cosine, to the place that is like 1."""
    return np.array([like, np.sqrt(1 - like**2)], np.float32)


def weighed(word: str, like: float = 1.0) -> Weighed:
    return Weighed(CLIP, place(like), word)


NEXT = weighed("next")


def test_what_was_likeliest_the_word_said_next_and_like_it_is_believed() -> None:
    example = believed(weighed("next", LIKE + 0.01), NEXT, "next")
    assert example is not None
    assert (example.word, example.believed) == ("next", True)
    assert np.array_equal(example.place, place(LIKE + 0.01))


@pytest.mark.parametrize("unheard", [weighed("back"), weighed(""), weighed("next", LIKE - 0.01), weighed("next", -1.0)])
def test_what_may_have_been_another_word_or_none_is_not(unheard: Weighed) -> None:
    assert believed(unheard, NEXT, "next") is None


def said(start: float, length: float = 0.5) -> Utterance:
    return Utterance(NOTHING, start, start + length, start + length + 0.2)


def found_in(*each: tuple[Utterance, str]) -> list[Correction]:
    found: list[Correction] = []
    corrections = Corrections(found.append)
    for one, word in each:
        corrections.follow(one, word, 0)
    return found


def test_only_the_next_thing_said_and_soon_corrects() -> None:
    unheard, again = said(1), said(3)
    assert found_in((unheard, ""), (again, "next")) == [Correction(unheard, again, "next", 0)]
    assert found_in((unheard, "back"), (again, "next")) == []
    assert found_in((unheard, ""), (said(2), "back"), (again, "next")) == [Correction(unheard, said(2), "back", 0)]
    late = said(unheard.end_s + WITHIN_S + 0.1)
    assert found_in((unheard, ""), (late, "next")) == []
    assert found_in((said(0), ""), (unheard, ""), (again, "3")) == [Correction(unheard, again, "3", 0)]
    assert found_in((unheard, ""), (again, "next"), (said(4), "next")) == [Correction(unheard, again, "next", 0)]


def example(word: str, take: int, is_believed: bool = True) -> Example:
    return Example(word, CLIP, np.full(2, take, np.float32), is_believed)


def test_a_few_are_kept_for_each_word_and_the_oldest_goes() -> None:
    examples = (*(example("next", take, False) for take in range(3)), example("back", 9))
    for take in range(10, 10 + MOST + 2):
        examples = beside(examples, example("next", take))
    kept = [(each.word, int(each.place[0]), each.believed) for each in examples]
    assert kept == [
        *(("next", take, False) for take in range(3)),
        ("back", 9, True),
        *(("next", take, True) for take in range(12, 12 + MOST)),
    ]


LOUD = 6000


class Deaf:
    """Takes all that is loud for one word, and understands nothing else."""

    language: Language = load("en")
    keen = True

    def __init__(self, word: str) -> None:
        self._word = word

    def recognise(self, said: Sequence[Utterance], largest: int) -> Sequence[tuple[str, float] | None]:
        return [(self._word, 0.9) if each.samples.max() > LOUD else None for each in said]

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        return None


@pytest.mark.parametrize(("heard", "largest", "word"), [("next", 0, "next"), ("three", 4, "3")])
def test_a_listener_tells_what_was_said_again(heard: str, largest: int, word: str) -> None:
    pytest.importorskip("hibari")
    from said import pause, room
    from weaver import say

    found: list[Correction] = []
    listener = Listener(Deaf(heard), corrected=found.append)
    listener.expect(largest)
    loud = say("three", 0)
    faint = (loud * (0.8 * LOUD / loud.max())).astype(np.int16)
    listener.listen(room(pause(1), faint, pause(1), faint * 2, pause(1)), False)
    (correction,) = found
    assert (correction.word, correction.largest) == (word, largest)
    assert correction.unheard.end_s < correction.accepted.start_s
