"""Whole warps threaded with mistakes, closed and read back: what each mistake does, and what becomes of all of them."""

import json
from collections import Counter
from typing import Any

import numpy as np
import pytest

from assistant.cli import main
from assistant.errors import RehearsalError
from assistant.finder import GroupToSearch, Hypothesis, Mistake, MistakeKind
from assistant.finder.hypotheses import Observation, singles
from assistant.readback.hearing import assumed
from assistant.rehearsal.coverage import Coverage, CoverageWish, cover
from assistant.rehearsal.odds import Threaded, every_odds
from assistant.rehearsal.reading_back import Muffled
from assistant.session.view import GroupState
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.notation import Ends
from assistant.words.language import load

WARP = sequence.load(find("hearth-runner"))  # 252 ends in groups of 6 and 24
EXPECTED: Ends = ((1,), (2,), (3,), (4,), (3,), (2,), (1,), (4,))


def covered(per_1000: float, runs: int = 1, **wished: Any) -> Coverage:
    return cover(WARP, load("en"), CoverageWish(per_1000, runs, **wished))


def shafts(threaded: Threaded) -> list[int]:
    return [shaft for (shaft,) in threaded.loom]


@pytest.mark.parametrize(
    ("mistake", "loom", "over"),
    [
        (Mistake(MistakeKind.SKIPPED, 3), [1, 2, 4, 3, 2, 1, 4], 1),
        (Mistake(MistakeKind.DOUBLED, 3), [1, 2, 3, 3, 4, 3, 2, 1], -1),
        (Mistake(MistakeKind.TWO_IN_ONE, 3), [1, 2, 3, 3, 4, 3, 2, 1], -1),
        (Mistake(MistakeKind.WRONG_SHAFT, 3, found=(1,)), [1, 2, 1, 4, 3, 2, 1, 4], 0),
        (Mistake(MistakeKind.SWAPPED, 3), [1, 2, 4, 3, 3, 2, 1, 4], 0),
        (Mistake(MistakeKind.CALL_MISSED, 1, ends=4), [3, 2, 1, 4], 4),
        (Mistake(MistakeKind.CALL_DOUBLED, 1, ends=4), [1, 2, 3, 4, 1, 2, 3, 4], -4),
        (Mistake(MistakeKind.BUNDLE, ends=2), [1, 2, 3, 4, 3, 2, 1, 4], 2),
        (Mistake(MistakeKind.BUNDLE, ends=-2), [1, 2, 3, 4, 3, 2], -2),
    ],
    ids=lambda value: value.kind if isinstance(value, Mistake) else "",
)
def test_what_each_mistake_leaves_and_that_its_repair_sets_it_right(
    mistake: Mistake, loom: list[int], over: int
) -> None:
    threaded = Threaded.once(EXPECTED, (mistake,))
    assert shafts(threaded) == loom
    assert threaded.over == over
    repaired = threaded.repaired(the_hypothesis(mistake, over))
    assert repaired.right
    assert repaired.remaining() == ()
    assert repaired.over == 0


def the_hypothesis(mistake: Mistake, over: int) -> Hypothesis:
    group, seen = GroupToSearch(EXPECTED, (0, 4), 4), Observation(over)
    left = Threaded.once(EXPECTED, (mistake,)).loom
    return next(one for one in singles(group, seen) if one.loom == left)


def test_a_repair_elsewhere_leaves_the_mistake_and_is_not_taken_for_finding_it() -> None:
    skipped, wrong = Mistake(MistakeKind.SKIPPED, 6), Mistake(MistakeKind.WRONG_SHAFT, 2, found=(4,))
    threaded = Threaded.once(EXPECTED, (wrong, skipped))
    assert threaded.repaired(the_hypothesis(skipped, 1)).remaining() == (wrong,)
    assert threaded.repaired(the_hypothesis(Mistake(MistakeKind.BUNDLE, ends=1), 1)).remaining() == (wrong, skipped)
    assert threaded.put_right(2).right


def test_mistakes_are_drawn_as_often_as_asked_for_and_never_overlap() -> None:
    rng = np.random.default_rng(1)
    odds = every_odds(WARP, None, 20)
    runs = 400
    drawn = [each.draw(rng) for _ in range(runs) for each in odds]
    kinds = Counter(mistake.kind for made in drawn for mistake in made)
    assert set(kinds) == set(MistakeKind) - {MistakeKind.HEDDLES, MistakeKind.UNSEEN}
    # 20 to 1,000 of 252 ends, 400 times: 2,016, with a standard deviation of 45 (Poisson); a few overlap and drop out.
    assert 1_850 <= kinds.total() <= 2_150
    assert 0.8 < kinds[MistakeKind.SKIPPED] / kinds[MistakeKind.WRONG_SHAFT] < 1.25
    assert any(len(made) > 1 for made in drawn)
    assert all(sum(mistake.kind is MistakeKind.BUNDLE for mistake in made) <= 1 for made in drawn)


def test_numbers_are_misheard_as_often_as_asked_for_and_as_the_table_has_it() -> None:
    rng = np.random.default_rng(1)
    ear = Muffled(assumed(9), 0.2)
    heard = Counter(ear.hear(5, rng) for _ in range(2_000))
    assert 320 <= 2_000 - heard[5] <= 480  # 400, standard deviation 18
    assert heard[9] > heard[8]  # five and nine sound alike
    assert heard[4] > heard[8]


def test_without_mistakes_nothing_is_reported() -> None:
    told = covered(0, misheard=0.0).as_json()
    assert told["alerts"] == []
    assert told["heard"] == {"said": 504, "right": 504, "wrong": 0, "missed": 0}
    assert told["mistakes"] == {
        "made": 0,
        "noticed_in_group": 0,
        "found": 0,
        "questions_mean": None,
        "questions_bound": None,
        "left_without_check": 0,
        "left_after_one_reading": 0,
        "left_in_cloth": 0,
        "false_differences": 0,
        "asked_in_vain": 0,
    }


def test_a_misheard_number_alone_spoils_nothing() -> None:
    coverage = covered(0, runs=3)
    assert coverage.heard.wrong > 20
    assert coverage.false_differences == 0
    assert coverage.left_in_cloth == 0


def test_none_is_left_in_the_cloth_and_the_tally_adds_up() -> None:
    coverage = covered(20, runs=6)
    assert coverage.left_in_cloth == 0
    assert coverage.made >= coverage.noticed_in_group >= coverage.found > 0
    assert coverage.left_without_check > 0
    assert len(coverage.searched) >= sum(alert.off_by != 0 for alert in coverage.alerts) > 0
    assert {group.state for group in coverage.groups} <= {GroupState.EVEN, GroupState.SETTLED}


def test_with_true_answers_what_is_noticed_is_mostly_found() -> None:
    coverage = covered(5, runs=6, wrong_answers=0.0)
    assert coverage.found >= 0.8 * coverage.noticed_in_group > 0


def test_the_same_seed_gives_the_same_tally() -> None:
    assert covered(15, seed=3).as_json() == covered(15, seed=3).as_json()
    assert covered(15, seed=3).as_json() != covered(15, seed=4).as_json()


def test_ends_on_several_shafts_are_read_back_to_the_end() -> None:
    napkin = sequence.load(find("window-napkin"))
    assert cover(napkin, load("en"), CoverageWish(10, 2)).left_in_cloth == 0


def test_the_command_prints_what_is_left(capsys: pytest.CaptureFixture[str]) -> None:
    rehearse = ["rehearse", "hearth-runner", "--mistakes-per-1000", "10", "--runs", "2", "--seed", "1"]
    assert main([*rehearse, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told) == ["ends", "calls", "runs", "groups", "alerts", "heard", "mistakes"]
    assert told["ends"] == 252
    assert told["runs"] == 2
    assert {"made", "noticed_in_group", "found", "questions_mean", "questions_bound", "left_in_cloth"} <= set(
        told["mistakes"]
    )
    assert main(rehearse) == 0
    assert f"2 times 252 ends: {told['mistakes']['made']} mistakes made" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--mistakes-per-1000", "-1"], "--mistakes-per-1000 is -1; it goes from 0 to 100"),
        (["--mistakes-per-1000", "100.5"], "--mistakes-per-1000 is 100.5; it goes from 0 to 100"),
        (["--mistakes-per-1000", "10", "--runs", "0"], "--runs is 0; it goes from 1 to 10000"),
        (["--mistakes-per-1000", "10", "--misheard", "60"], "--misheard is 60; it goes from 0 to 50"),
        (["--mistakes-per-1000", "10", "--wrong-answers", "-5"], "--wrong-answers is -5; it goes from 0 to 50"),
        (["--mistakes-per-1000", "10", "--seed", "-1"], "--seed is -1; with mistakes it is 0 or more"),
        (["--mistakes-per-1000", "10", "--per-call", "13"], "--per-call is 13; it goes from 1 to 12"),
        (["--mistakes-per-1000", "10", "--mistake", "skip@3"], "leave out --mistake, --audio and --job"),
        (["--mistakes-per-1000", "10", "--job", "sley"], "leave out --mistake, --audio and --job"),
        (["--runs", "5"], "--runs, --wrong-answers and --misheard go with --mistakes-per-1000"),
    ],
)
def test_what_cannot_be_rehearsed_is_one_clear_line(
    options: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rehearse", "first-evening", *options]) == 2
    told = capsys.readouterr().err
    assert line in told
    assert told.count("\n") == 1


def test_a_bad_wish_is_told_before_anything_is_rehearsed() -> None:
    with pytest.raises(RehearsalError, match="it goes from 0 to 100"):
        CoverageWish(101)
