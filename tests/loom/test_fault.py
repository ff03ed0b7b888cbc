"""A fault in the cloth: what is told of its causes holds on a physical reed and in the threading itself."""

from itertools import groupby

import pytest
from reed import Hands, Reed, dealt

from assistant import cli
from assistant.warp.examples import find as example
from assistant.warp.fault import Advance, Cause, Suspect, fault
from assistant.warp.locate import locate
from assistant.warp.model import Warp
from assistant.warp.reed import in_reed
from assistant.warp.sequence import load, loads

RUNNER = load(example("hearth-runner"))
POINT = loads(b"{shafts: 4, groups: [{thread: 3(1 2 3 4 3 2)}]}", "point.yaml")


def suspects(warp: Warp, end: int, stage: Advance = Advance.THREADED) -> dict[Cause, Suspect]:
    (at,) = locate(warp, end=end)
    return {each.cause: each for each in fault(warp, at, stage).suspects}


def fewest_moves(reed: Reed, due: list[list[int]]) -> int:
    """The least ends to put elsewhere so that all lie in the order of the draft, wherever in the reed it begins."""
    own = {end: dent for dent, ends in enumerate(due) for end in ends}
    lying = {end: dent for dent, ends in enumerate(reed.dents) for end in ends}
    return min(sum(lying[end] != own[end] + shift for end in lying) for shift in range(-3, 4))


@pytest.mark.parametrize("end", [3, 70, 126, 127, 200, 250])
def test_as_few_ends_move_as_can_be_when_a_dent_was_skipped(end: int) -> None:
    """Against every place in the reed at which the warp may lie."""
    lying = in_reed(RUNNER)
    assert lying is not None
    due = [len(lying.sley.ends(dent)) for dent in range(1, lying.dents + 1)]
    moved = suspects(RUNNER, end)[Cause.DENT_SKIPPED].moved
    assert moved is not None
    assert moved.right + moved.left == RUNNER.ends
    order = list(due)
    order.insert(lying.sley.dent(end) - 1, 0)
    shafts = [each.shafts for each in RUNNER.every_end()]
    reed = Hands(order, list(range(1, RUNNER.ends + 1))).done(due, shafts)
    assert moved.fewest == fewest_moves(reed, dealt(due, range(1, RUNNER.ends + 1)))


def test_right_and_left_are_as_one_sits_at_the_loom() -> None:
    moved = suspects(RUNNER, 70)[Cause.DENT_SKIPPED].moved
    assert moved is not None
    assert (moved.right, moved.left, moved.nearer) == (68, 184, "right")  # dent 35 begins with end 69 from the right
    missing = suspects(RUNNER, 70)[Cause.MISSING].moved
    assert missing is not None
    assert (missing.right, missing.left) == (69, 182)


def doubled(shafts: list[int]) -> list[tuple[int, ...]]:
    """The shafts with two ends side by side."""
    return sorted({(shaft,) for shaft, ends in groupby(shafts) if len(list(ends)) > 1})


@pytest.mark.parametrize("end", range(1, POINT.ends))
def test_a_doubled_line_is_told_where_two_ends_lie_side_by_side_on_one_shaft(end: int) -> None:
    """In a point threading no two neighbours are alike by the draft: what is alike comes from the mistake."""
    shafts = [each.shafts[0] for each in POINT.every_end()]
    at = end - 1
    left = {
        Cause.MISSING: shafts[:at] + shafts[at + 1 :],
        Cause.DOUBLED: shafts[:end] + shafts[at:],
        Cause.SWAPPED: [*shafts[:at], shafts[at + 1], shafts[at], *shafts[at + 2 :]],
    }
    told = suspects(POINT, end)
    for cause, row in left.items():
        signs = [sign for sign in told[cause].signs if sign.phrase == "sign: doubled line"]
        assert [sign.places["shafts"] for sign in signs] == doubled(row), cause
    beside = {shafts[n] for n in (at - 1, at + 1) if 0 <= n < len(shafts)}
    (like,) = (sign.places["shafts"] for sign in told[Cause.WRONG_SHAFT].signs if "neighbour" in sign.phrase)
    assert set(like) == beside


def test_of_the_reed_nothing_is_told_where_it_is_not_known() -> None:
    told = suspects(POINT, 5)
    assert not {Cause.DENT_SKIPPED, Cause.DENT_DOUBLED, Cause.CROSSED} & set(told)
    assert all(each.moved is None for each in told.values())


@pytest.mark.parametrize("stage", Advance)
def test_what_is_to_be_done_goes_by_the_stage(stage: Advance) -> None:
    steps = [step.phrase for step in suspects(RUNNER, 70, stage)[Cause.MISSING].steps]
    assert "step: new end of yarn" in steps
    assert steps[-1] == "step: sley anew where full"
    assert ("step: fasten woven" in steps) == (stage is Advance.WOVEN)
    assert ("step: begin tied" in steps) == (stage is Advance.TIED)


def test_it_is_told_at_the_keyboard_and_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["end", "hearth-runner", "--from-right", "3.5in", "--fault", "woven"]
    assert cli.main(words) == 0
    told = capsys.readouterr().out
    assert "  > end 70: shaft 2, dent 35, line flax" in told
    assert "the right one: 68 ends move; from the other 184 would" in told
    assert "heddlecall find hearth-runner --group 'stripe 3' --reed" in told
    assert "manual of the loom's maker" in told
    assert cli.main([*words, "--json"]) == 0
    assert '"moved": {"right": 68, "left": 184, "nearer": "right"}' in " ".join(capsys.readouterr().out.split())
