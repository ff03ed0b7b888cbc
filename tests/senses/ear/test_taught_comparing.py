"""How far a sound is from each example, whatever stands beside it, however loud it was said: on made sounds."""

import numpy as np
import pytest

from assistant.senses.ear.comparing import Comparison
from assistant.senses.ear.features import BANDS, Example, Frames, Templates
from assistant.senses.ear.utterance import MARGIN

ROOM = np.full(BANDS, 1e-6, np.float32)
LENGTHS = {"a": 24, "b": 36, "c": 44}  # frames, each within twice as many as the others


def word(name: str, loud: float = 1.0) -> Frames:
    """Bands that swell and fade, each word's in its own way; in the room, with a margin of it on each side."""
    chance = np.random.default_rng(ord(name))
    levels = chance.normal(size=(LENGTHS[name], BANDS)).cumsum(axis=0) / 3
    said = np.zeros((LENGTHS[name] + 2 * MARGIN, BANDS), np.float32)
    said[MARGIN:-MARGIN] = 1e-3 * loud * np.exp(levels)
    return said + ROOM


def distances(heard: Frames, *names: str) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    templates = Templates([Example(name, word(name)) for name in names])
    return Comparison(templates, heard, ROOM, MARGIN).distances


@pytest.mark.parametrize("said", LENGTHS)
def test_an_example_is_as_far_beside_longer_ones_as_by_itself(said: str) -> None:
    together = distances(word(said), *LENGTHS)
    alone = [distances(word(said), name)[0] for name in LENGTHS]
    assert together == pytest.approx(alone, abs=0.2)
    assert together.argmin() == list(LENGTHS).index(said)


def test_how_loud_a_word_is_said_makes_no_difference() -> None:
    assert distances(word("b", 10), *LENGTHS) == pytest.approx(distances(word("b"), *LENGTHS), rel=0.02)


def test_a_longer_word_outdoes_a_shorter_one_of_which_only_the_end_was_found() -> None:
    templates = Templates([Example(name, word(name)) for name in LENGTHS])
    compared = Comparison(templates, word("c"), ROOM, MARGIN, before=20)
    assert compared.outdone(0) < 1
    assert np.isinf(compared.outdone(2))
