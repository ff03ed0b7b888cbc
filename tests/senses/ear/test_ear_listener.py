"""Of the ends with which one word is found, the likeliest is taken, and told once."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.senses.ear.utterance import Utterance
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Kind
from assistant.words.language import load

pytest.importorskip("hibari")

from said import listen, pause, room, word

BLOCKS = (160, 480, 1000, 10**6)


class Likely:
    """Takes everything for "next", and is as sure as it is told to be; not at all: it understands nothing."""

    language = load("en")
    keen = True

    def __init__(self, how: Callable[[Utterance], float]):
        self._how = how

    def recognise(self, said: Sequence[Utterance], largest: int) -> Sequence[tuple[str, float] | None]:
        return [("next", self._how(each)) if self._how(each) else None for each in said]

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        return None


@pytest.mark.parametrize("block", BLOCKS)
@pytest.mark.parametrize(("of_shorter", "of_all"), [(0.9, 0.5), (0.5, 0.9), (0.9, 0.0), (0.0, 0.9)])
def test_a_word_found_with_several_ends_is_heard_once_by_the_likeliest(
    block: int, of_shorter: float, of_all: float
) -> None:
    engine = Likely(lambda said: of_shorter if said.guess else of_all)
    heard = listen(engine, room(pause(1), word("two"), pause(1), word("two"), pause(1)), block=block)
    assert [(each.kind, each.score) for each in heard] == [(Kind.NEXT, 0.9)] * 2


@pytest.mark.parametrize("block", BLOCKS)
def test_what_surely_was_a_word_is_told_once_where_none_of_its_ends_is_understood(block: int) -> None:
    heard = listen(Likely(lambda said: 0.0), room(pause(1), word("two"), pause(1)), block=block)
    assert [each.kind for each in heard] == [None]
    assert heard[0].word_end_s == pytest.approx(1 + len(word("two")) / EAR_RATE, abs=0.1)


def test_a_word_that_is_over_is_not_waited_with() -> None:
    (heard,) = listen(Likely(lambda said: 0.9), room(pause(1), word("two"), pause(1)))
    assert heard.decided_s - 1 - len(word("two")) / EAR_RATE < 0.25
