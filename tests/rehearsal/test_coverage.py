"""Whole warps threaded with mistakes, closed and read back on a physical loom: what becomes of each mistake."""

import json
import random
from collections import Counter
from typing import Any

import pytest

from assistant.cli import main
from assistant.errors import RehearsalError
from assistant.loom.harness import Due
from assistant.loom.slips import SLIPS, Work, across
from assistant.readback.hearing import assumed
from assistant.rehearsal.coverage import Coverage, CoverageWish, Fates, cover, read_back, thread
from assistant.rehearsal.reading_back import Muffled
from assistant.rehearsal.slipping import Fate, Hands, Made
from assistant.session.view import GroupState
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.words.language import load

WARP = sequence.load(find("hearth-runner"))  # 252 ends in groups of 6 and 24
SCARF = sequence.load(find("lakeside-scarf"))  # of three yarns
ENGLISH = load("en")


def covered(per_1000: float, runs: int = 1, **wished: Any) -> Coverage:
    return cover(WARP, ENGLISH, CoverageWish(per_1000, runs, **wished))


def test_mistakes_of_every_kind_are_made_as_often_as_asked_for() -> None:
    made: Counter[str] = Counter()
    for run in range(200):
        hands = Hands(SCARF, None, 0.02, random.Random(run))
        hands.every_group()
        made.update(each.kind for each in hands.made)
    assert set(made) == set(SLIPS)
    expected = 200 * 0.02 * SCARF.ends
    assert abs(made.total() - expected) <= 4 * expected**0.5
    assert min(made.values()) > 20


def test_in_a_warp_of_one_yarn_no_colour_is_wrong() -> None:
    plain = sequence.loads(b"{shafts: 4, groups: [{name: all, thread: 100(1..4)}]}", "plain.yaml")
    hands = Hands(plain, None, 0.5, random.Random(1))
    hands.every_group()
    assert {"crossed", "skipped"} <= {each.kind for each in hands.made}
    assert "wrong colour" not in {each.kind for each in hands.made}


def test_the_same_hands_make_the_same_mistakes() -> None:
    wish = CoverageWish(30)
    one, other = wish.hands(WARP, 3), wish.hands(WARP, 3)
    assert one.every_group() == other.every_group()
    assert [each.kind for each in one.made] == [each.kind for each in other.made]


@pytest.mark.parametrize("seed", range(12))
def test_a_mistake_across_a_border_hangs_in_both_groups(seed: int) -> None:
    draft = [Due((shaft,), "white") for shaft in (1, 2, 3, 4, 3, 1, 2, 4, 1, 3, 4, 2)]
    one, other = (Work.of(draft, (0, 4, 8), 4) for _ in range(2))
    assert across(one, other, random.Random(seed))
    (before, over), (after, more) = one.done(), other.done()
    assert (over > 0, over < 0) == (more > 0, more < 0)
    assert over or not (before.right and after.right)
    assert before.right_up_to(4)
    assert over or after.right_up_to(4, from_left=True)


def test_across_a_border_of_groups_that_are_too_small_nothing_is_done() -> None:
    one, other = (Work.of([Due((1,), "white")], (0,), 4) for _ in range(2))
    assert not across(one, other, random.Random(1))


def test_a_mistake_in_two_groups_is_gone_when_it_is_gone_from_both() -> None:
    hands = Hands(WARP, None, 0.0, random.Random(1), [Made("across border", {0, 1}), Made("skipped", {1})])
    hands.notice(0)
    hands.gone(0, Fate.FOUND)
    assert Fates.of(hands.made).left_in_cloth == 2
    hands.gone(1, Fate.HARMLESS)
    told = Fates.of(hands.made)
    assert (told.noticed_in_group, told.found, told.harmless, told.left_in_cloth) == (1, 1, 1, 0)


def test_numbers_are_misheard_as_often_as_asked_for_and_as_the_table_has_it() -> None:
    rng = random.Random(1)
    ear = Muffled(assumed(9), 0.2)
    heard = Counter(ear.hear(5, rng) for _ in range(2_000))
    assert 320 <= 2_000 - heard[5] <= 480  # 400, standard deviation 18
    assert heard[9] > heard[8]  # five and nine sound alike
    assert heard[4] > heard[8]


def test_without_mistakes_nothing_is_reported() -> None:
    told = covered(0, misheard=0.0).as_json()
    assert told["alerts"] == []
    assert told["heard"] == {"said": 252, "right": 252, "wrong": 0, "missed": 0}
    none = dict.fromkeys(
        ("made", "noticed_in_group", "found", "threaded_anew", "harmless", "found_by_reading"), 0
    ) | dict.fromkeys(("left_without_check", "left_in_cloth", "false_differences", "asked_in_vain"), 0)
    assert told["mistakes"] == {**none, "questions_mean": None, "questions_bound": None, "by_kind": {}}


def test_a_misheard_number_alone_spoils_nothing() -> None:
    coverage = covered(0, runs=3)
    assert coverage.heard.wrong > 10
    assert coverage.false_differences == 0
    assert coverage.fates == Fates.of(())


@pytest.mark.parametrize("wrong_answers", [0.0, 5.0])
def test_none_is_left_when_it_was_read_back_and_heard_rightly(wrong_answers: float) -> None:
    coverage = covered(20, runs=12, wrong_answers=wrong_answers, misheard=0.0)
    fates = coverage.fates
    assert fates.left_in_cloth == 0
    assert fates.made == fates.found + fates.threaded_anew + fates.harmless + fates.found_by_reading
    assert fates.made >= fates.noticed_in_group >= fates.found > 0
    assert fates.left_without_check == fates.found_by_reading > 0
    assert {group.state for group in coverage.groups} <= {GroupState.EVEN, GroupState.SETTLED}
    kinds = coverage.by_kind
    assert sum(each.made for each in kinds.values()) == fates.made
    assert {"crossed", "swapped"} <= {kind for kind, each in kinds.items() if each.found_by_reading}


def test_a_mistake_is_left_where_its_group_does_not_hang_as_the_draft_says() -> None:
    wish = CoverageWish(40, misheard=25.0)
    hands, rng = wish.hands(SCARF, 1), wish.chance(1)

    def not_right() -> set[int]:
        return {number for number, loom in enumerate(hanging) if not loom.right}

    _, hanging = thread(hands, ENGLISH, wish, rng)
    assert {group for each in hands.made for group in each.groups} == not_right() != set()
    read_back(hands, hanging, ENGLISH, wish, rng)
    assert {group for each in hands.made for group in each.groups} == not_right()


def test_with_true_answers_what_is_noticed_is_mostly_found() -> None:
    fates = covered(5, runs=6, wrong_answers=0.0).fates
    assert fates.found >= 0.8 * fates.noticed_in_group > 0


def test_the_same_seed_gives_the_same_tally() -> None:
    assert covered(15, seed=3).as_json() == covered(15, seed=3).as_json()
    assert covered(15, seed=3).as_json() != covered(15, seed=4).as_json()


def test_ends_on_several_shafts_are_read_back_to_the_end() -> None:
    napkin = sequence.load(find("window-napkin"))
    assert cover(napkin, ENGLISH, CoverageWish(10, 2, misheard=0.0)).fates.left_in_cloth == 0


def test_the_command_prints_what_is_left(capsys: pytest.CaptureFixture[str]) -> None:
    rehearse = ["rehearse", "hearth-runner", "--mistakes-per-1000", "10", "--runs", "2", "--seed", "1"]
    assert main([*rehearse, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told) == ["ends", "calls", "runs", "groups", "alerts", "heard", "mistakes"]
    assert (told["ends"], told["runs"]) == (252, 2)
    mistakes = told["mistakes"]
    assert main(rehearse) == 0
    lines = capsys.readouterr().out.splitlines()
    made = mistakes["made"]
    (title,) = (at for at, line in enumerate(lines) if line == f"2 times 252 ends: {made} mistakes made")
    rows = lines[title + 1 : title + 3 + len(mistakes["by_kind"])]
    assert rows[0].split("  ")[-1] == "left"
    assert rows[-1].split()[:3] == ["all", str(made), str(mistakes["noticed_in_group"])]
    assert len({len(row) for row in rows}) == 1


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
