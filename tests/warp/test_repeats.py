"""Where a sequence repeats itself."""

from hypothesis import given
from hypothesis import strategies as st

from assistant.warp.notation import period
from assistant.warp.repeats import Run, Stretch, divided, runs

items = st.lists(st.integers(0, 3), max_size=60)


def test_runs_of_a_short_sequence() -> None:
    assert list(runs([1, 2, 1, 2, 1, 3, 3, 3])) == [Run(5, 8, 1), Run(0, 5, 2)]


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
                    expected.add(Run(start, stop, length))
    assert set(runs(sequence)) == expected


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
