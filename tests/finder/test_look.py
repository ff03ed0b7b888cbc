"""Two looks are equal where they were begun alike and told the same, however they came to be."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.finder import Ask, Look

EXPECTED = (((1,), (2,), (3,), (4,), (1,), (4,), (3,), (2,)) * 2, ((1, 3), (2, 4), (1, 4)) * 4)
ACTS = st.lists(st.one_of(st.integers(0, 4), st.sampled_from(["no more", "not sure", "lacking", "back"])), max_size=12)


def begun(group: int = 0, over: int = 1, left: dict[int, int] | None = None) -> Look:
    expected = EXPECTED[group]
    return Look.begin(list(expected), range(0, len(expected), 4), 4, over, left)


def after(look: Look, acts: list[Any]) -> Look:
    """The look after so many numbers told and other acts, those that mean something at the time."""
    for act in acts:
        match act:
            case int():
                look = look.number(act)
            case "no more":
                look = look.no_more() if look.told else look
            case "not sure":
                look = look.not_sure()
            case "lacking":
                look = look.lacking() if look.question and look.question.ask is Ask.HEDDLES else look
            case "back":
                look = look.back() or look
    return look


@given(st.integers(0, 1), st.sampled_from([None, {1: 0}, {1: 1, 2: 0}]), ACTS)
def test_the_same_told_again_gives_an_equal_look(group: int, left: dict[int, int] | None, acts: list[Any]) -> None:
    one, other = (after(begun(group, 1, left), acts) for _ in range(2))
    assert one == other
    assert hash(one) == hash(other)
    assert (one.question, one.verdict) == (other.question, other.verdict)


@given(st.integers(0, 1), ACTS, st.integers(1, 4))
def test_back_gives_a_look_equal_to_the_one_before(group: int, acts: list[Any], number: int) -> None:
    before = after(begun(group), acts)
    if before.question is not None and not before.told:
        assert before.number(number).back() == before


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (begun(), begun(1)),
        (begun(), begun(over=2)),
        (begun(), begun(left={1: 0})),
        (begun(left={1: 0}), begun(left={1: 1})),
        (begun(), begun().number(1)),
        (begun().number(1), begun().number(2)),
        (begun().number(1), begun().not_sure()),
        (begun(1), begun(1).number(1)),
        (begun(), begun().lacking()),
    ],
)
def test_looks_that_were_told_otherwise_differ(one: Look, other: Look) -> None:
    assert one != other


def test_what_was_counted_is_kept_as_it_was() -> None:
    left = {1: 0}
    look = begun(left=left)
    left[1] = 3
    assert look == begun(left={1: 0})


def test_a_look_is_told_in_few_words() -> None:
    """Its weights and the looks before it follow from the rest."""
    look = after(begun(), [1, 2, 3])
    assert "array" not in repr(look)
    assert len(repr(look)) < 1_000
