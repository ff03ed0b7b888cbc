"""Where each clip starts in a call."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.mouth.clips import BEAT_GAP_S, PAUSE_S, Clip, beat_of, join
from assistant.senses.mouth.player import MOUTH_RATE

GAP, PAUSE = round(BEAT_GAP_S * MOUTH_RATE), round(PAUSE_S * MOUTH_RATE)

lengths = st.lists(st.integers(1, 400), min_size=1, max_size=8)


def clip(mark: int, length: int, beat: bool) -> Clip:
    return Clip(np.full(length, mark, np.float32), beat)


@given(lengths)
def test_neighbours_on_the_beat_start_at_even_distances(sizes: list[int]) -> None:
    joined = join([clip(n, size, beat=True) for n, size in enumerate(sizes, 1)])
    starts = [int(np.argmax(joined == n)) for n in range(1, len(sizes) + 1)]
    assert set(np.diff(starts)) <= {max(sizes) + GAP}


@given(lengths, st.integers(0, 3000))
def test_a_longer_beat_is_kept_and_a_shorter_one_makes_room(sizes: list[int], beat: int) -> None:
    joined = join([clip(n, size, beat=True) for n, size in enumerate(sizes, 1)], beat)
    assert len(joined) == (len(sizes) - 1) * max(beat, max(sizes) + GAP) + sizes[-1]


@given(lengths)
def test_other_parts_follow_after_a_short_pause(sizes: list[int]) -> None:
    joined = join([clip(n, size, beat=False) for n, size in enumerate(sizes, 1)])
    assert len(joined) == sum(sizes) + PAUSE * (len(sizes) - 1)
    assert np.count_nonzero(joined) == sum(sizes)


def test_words_before_and_after_the_beat_keep_their_pause() -> None:
    parts = [clip(1, 50, beat=False), clip(2, 10, beat=True), clip(3, 20, beat=True), clip(4, 30, beat=False)]
    starts = [0, 50 + PAUSE, 50 + PAUSE + 20 + GAP, 50 + PAUSE + 20 + GAP + 20 + PAUSE]
    assert [int(np.argmax(join(parts) == n)) for n in (1, 2, 3, 4)] == starts


def test_the_beat_has_room_for_the_longest_clip() -> None:
    assert beat_of([np.zeros(100, np.float32), np.zeros(300, np.float32)]) == 300 + GAP


def test_nothing_joined_is_nothing() -> None:
    assert len(join([])) == 0
