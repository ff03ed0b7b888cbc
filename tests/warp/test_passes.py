"""The walk over a warp, in calls."""

import pytest
from drawn import warps
from hypothesis import given
from hypothesis import strategies as st

from assistant.warp.model import End, Group, Loom, Warp
from assistant.warp.passes import Call, thread


def test_a_call_never_crosses_the_end_of_a_group() -> None:
    one, two = End((1,)), End((2,))
    warp = Warp("", Loom(2), (Group("a", (one,) * 5), Group("b", (two,) * 4), Group("c", (one, two))))
    assert thread(warp) == (
        Call(0, 0, 1, (one,) * 4),
        Call(0, 4, 5, (one,)),
        Call(1, 0, 6, (two,) * 4),
        Call(2, 0, 10, (one, two)),
    )


@given(warps(), st.integers(1, 12))
def test_every_end_is_called_once_and_in_order(warp: Warp, per_call: int) -> None:
    calls = thread(warp, per_call)
    assert [end for call in calls for end in call.ends] == list(warp.every_end())
    first_end = 1
    for call in calls:
        group = warp.groups[call.group].ends
        assert 1 <= len(call.ends) <= per_call
        assert call.ends == group[call.start : call.start + len(call.ends)]
        assert call.first_end == first_end
        first_end += len(call.ends)


@pytest.mark.parametrize("per_call", [0, 13, -1])
def test_a_call_has_one_to_twelve_ends(per_call: int) -> None:
    with pytest.raises(ValueError, match="it goes from 1 to 12"):
        thread(Warp("", Loom(2), (Group("a", (End((1,)),)),)), per_call)
