"""Spare heddles, missing heddles."""

from hypothesis import given
from hypothesis import strategies as st

from assistant.warp.heddles import ShaftPlan, level, shaft_plans
from assistant.warp.model import Warp
from assistant.warp.sequence import loads


def shafts(text: str) -> dict[int, ShaftPlan]:
    """The shafts of the warp this text describes."""
    return {shaft.shaft: shaft for shaft in shaft_plans(warp(text))}


def warp(text: str) -> Warp:
    """The warp this text describes."""
    return loads(text.encode(), "f.yaml")


def test_a_lace_repeat_of_36_ends() -> None:
    """Common practice, no source: six units of Bronson lace take 18 on shaft 1, 6 on shaft 2, 2 on each of six."""
    units = " ".join(f"2(1 {pattern}) 1 2" for pattern in range(3, 9))
    needed = {shaft: plan.needed for shaft, plan in shafts(f"shafts: 8\ngroups: [{{thread: {units}}}]").items()}
    assert needed == {1: 18, 2: 6, 3: 2, 4: 2, 5: 2, 6: 2, 7: 2, 8: 2}


def test_spares_are_halved_where_the_threading_is_even() -> None:
    plans = shafts("shafts: 3\nheddles: {1: 60, 2: 51, 3: 7}\ngroups: [{thread: 25(1 2)}]")
    assert (plans[1].missing, plans[1].left, plans[1].right) == (0, 18, 17)  # shaft 1 lies half an end to the right
    assert (plans[2].left, plans[2].right) == (13, 13)
    assert (plans[3].needed, plans[3].left, plans[3].right) == (0, 3, 4)


def test_a_shaft_threaded_on_one_side_gets_its_spares_on_the_other() -> None:
    """30 heddles in the right half pull as 15 at the edge: 45 and 30 spare ones balance that."""
    for start, sides in (("right", (45, 30)), ("left", (30, 45))):
        text = f"shafts: 2\nstart: {start}\nheddles: {{1: 105}}\ngroups: [{{thread: 30(1)}}, {{thread: 30(2)}}]"
        plan = shafts(text)[1]
        assert (plan.left, plan.right) == sides


@given(st.integers(0, 500), st.floats(-600, 600))
def test_all_spares_are_shared_out_and_the_shaft_hangs_as_level_as_it_can(spare: int, lean: float) -> None:
    left, right = level(spare, lean)
    assert left >= 0
    assert right >= 0
    assert left + right == spare
    off = abs(right + lean - left)
    assert off <= 1 + 1e-6 or (left if lean < 0 else right) == 0


def test_heddles_to_tie_in_while_threading_and_where_they_run_out() -> None:
    text = "shafts: 2\nheddles: {1: 25}\ngroups: [{name: stripe, thread: 10(1 2), times: 4}]"
    plans = shafts(text)
    assert (plans[1].needed, plans[1].on_loom, plans[1].missing, plans[1].left, plans[1].right) == (40, 25, 15, 0, 0)
    assert plans[1].runs_out == "stripe 3"
    assert plans[2].as_json() == {"needed": 40, "on_loom": None, "missing": None, "left": None, "right": None}
