"""The shortest notation of some ends."""

import pytest
from drawn import threadings
from hypothesis import given

from assistant.warp.notation import Ends, parse
from assistant.warp.shorten import short, written


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
    assert short(parse(text)) == text


@given(threadings())
def test_the_ends_come_back_and_are_never_longer(ends: Ends) -> None:
    text = short(ends)
    assert parse(text) == ends
    assert len(text) <= len(" ".join(written(ends)))
