"""Where a sequence repeats itself, and its shortest notation."""

import pytest
from drawn import threadings
from hypothesis import given
from hypothesis import strategies as st

from assistant.warp.draft.repeats import Repeat, Stretch, divided, repeats, short, written
from assistant.warp.notation import Ends, parse, period

items = st.lists(st.integers(0, 3), max_size=60)


def test_runs_of_a_short_sequence() -> None:
    assert list(repeats([1, 2, 1, 2, 1, 3, 3, 3])) == [Repeat(5, 8, 1), Repeat(0, 5, 2)]


@given(items)
def test_runs_are_all_the_longest_stretches_of_one_period(sequence: list[int]) -> None:
    """Held against the definition (Kolpakov and Kucherov 1999), tried at every place."""
    expected = set()
    for length in range(1, len(sequence) // 2 + 1):
        same = [a == b for a, b in zip(sequence, sequence[length:], strict=False)]
        for start in range(len(same)):
            if same[start] and (start == 0 or not same[start - 1]):
                stop = next((at for at in range(start, len(same)) if not same[at]), len(same)) + length
                if stop - start >= 2 * length and period(sequence[start:stop]) == length:
                    expected.add(Repeat(start, stop, length))
    assert set(repeats(sequence)) == expected


@given(items, st.integers(1, 8))
def test_sections_follow_on_and_repeat_as_they_say(sequence: list[int], cost: int) -> None:
    at = 0
    for section in divided(sequence, [float(cost)] * len(sequence), [0.0] * len(sequence)):
        assert section.start == at
        unit = sequence[at : at + section.period]
        assert sequence[at : at + section.period * section.times] == unit * section.times
        at += section.period * section.times
    assert at == len(sequence)


def test_a_repeat_between_two_edges_is_found() -> None:
    sequence = [1, 2] * 3 + [1, 2, 3, 4, 1, 4, 3, 2] * 30 + [1, 2] * 3
    found = divided(sequence, [2.0] * len(sequence), [float(item != 1) for item in sequence])
    assert found == [Stretch(0, 6, 1), Stretch(6, 8, 30), Stretch(246, 6, 1)]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1 2 3",
        "1..4",
        "1 2 1 2",
        "3(1 2)",
        "6(1..4)",
        "3(1..4 1 4 3 2)",
        "1..8 7..2",
        "5(1 2) 4 3 2",
        "4(3(1 2) 2(3 4 5))",
        "2(3(1/5 2/5) 4)",
        "20(1)",
    ],
)
def test_it_is_written_as_a_weaver_would(text: str) -> None:
    assert short(parse(text).shafts) == text


@given(threadings())
def test_the_ends_come_back_and_are_never_longer(ends: Ends) -> None:
    text = short(ends)
    assert parse(text).shafts == ends
    assert len(text) <= len(" ".join(written(ends)))
