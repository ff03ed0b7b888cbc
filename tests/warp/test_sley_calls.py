"""Sleying as it is called: the repeat of the reed, and how often, with the dents at every mark."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.meaning import Tell
from assistant.warp.model import End, Group, Loom, Unit, Warp
from assistant.warp.passes import SLEY, Call
from assistant.warp.passes.rounds import Round, rounds
from assistant.warp.passes.sley import LEAST, Sleyed
from assistant.words.language import codes, load
from assistant.words.wording import Wording

repeats = st.lists(st.integers(0, 4), min_size=1, max_size=12).filter(any).map(tuple)


def sleyed(repeat: tuple[int, ...], *groups: int, reed: float = 10, unit: Unit = "inch") -> Warp:
    """So many ends in each group."""
    made = tuple(Group(f"g{number}", (End((1,)),) * ends) for number, ends in enumerate(groups, 1))
    return Warp("", Loom(1, reed=reed), made, sley=repeat, unit=unit)


def told(warp: Warp, size: int | None = None, language: str = "en") -> list[str]:
    words = Wording(load(language), "sley")
    return [words.text(*(item.tell for item in SLEY.tell(warp, call))) for call in SLEY.calls(warp, size)]


def figures(warp: Warp) -> list[list[str]]:
    return [
        [str(figure.text) for item in SLEY.tell(warp, call) for figure in item.figures] for call in SLEY.calls(warp)
    ]


def test_a_repeat_is_one_call() -> None:
    assert told(sleyed((1, 2), 30))[0] == "1, 2, 5 times. That is dent 10, at 1 inch."
    assert told(sleyed((1, 2), 36, reed=6)) == ["1, 2, 3 times. That is dent 6, at 1 inch."] * 0 + [
        "1, 2, 3 times. That is dent 6, at 1 inch.",
        "1, 2, 3 times. That is dent 12, at 2 inches.",
        "1, 2, 3 times. That is dent 18, at 3 inches.",
        "1, 2, 3 times. That is dent 24, at 4 inches.",
    ]


def test_a_mark_within_a_repeat_waits_for_its_end() -> None:
    """Inches end with dents 10 and 20; repeats of three with dents 12 and 21."""
    assert told(sleyed((2, 2, 3), 49)) == [
        "2, 2, 3, 4 times. 1 inch is at dent 10. That is dent 12.",
        "2, 2, 3, 3 times. 2 inches are at dent 20. That is dent 21.",
    ]
    assert figures(sleyed((2, 2, 3), 49)) == [["2-2-3", "4×"], ["2-2-3", "3×"]]


def test_equal_dents_are_counted_and_empty_ones_told() -> None:
    assert told(sleyed((2,), 40)) == [
        f"10 dents of 2. That is dent {dent}, at {at}." for dent, at in ((10, "1 inch"), (20, "2 inches"))
    ]
    assert told(sleyed((2, 0, 3), 10)) == ["2, leave 1 empty, 3, 2 times."]
    assert told(sleyed((1, 0), 4)) == ["1 dent of 1. 3 times: leave 1 empty, then a dent of 1."]
    assert figures(sleyed((2, 0, 3), 10)) == [["2-0-3", "2×"]]


def test_a_dent_that_two_groups_share_is_told_at_both_ends() -> None:
    assert told(sleyed((3,), 4, 3)) == [
        "1 dent of 3. 1 in the next dent; the next group goes on in it.",
        "2 more in the same dent. 1 dent of 1.",
    ]


def test_a_long_repeat_is_told_by_what_comes_again_in_it() -> None:
    assert told(sleyed((2, 2, 2, 3, 2, 2, 3, 2, 2, 3), 23)) == [
        "1 dent of 2. 2, 2, 3, 3 times. That is dent 10, at 1 inch."
    ]
    assert told(sleyed((1,) * 11 + (2,), 13, reed=20)) == ["11 dents of 1. 1 dent of 2."]


@pytest.mark.parametrize("repeat", [(1, 2), (2, 2, 3), (1, 1, 2), (2, 3), (2,), (1, 1, 1, 1, 2), (2, 2, 3, 2, 3)])
@pytest.mark.parametrize(
    ("reed", "unit"), [(5, "inch"), (8, "inch"), (10, "inch"), (12, "inch"), (15, "inch"), (40, "cm"), (20, "cm")]
)
def test_a_call_holds_six_dents_and_more(repeat: tuple[int, ...], reed: float, unit: Unit) -> None:
    """175 dents of 1-2 took 178 calls while each was of equal dents; bound: the specification of this change."""
    ends = sum((repeat * 175)[:175])
    calls = list(SLEY.calls(sleyed(repeat, ends, reed=reed, unit=unit)))
    assert calls[-1].units[-1].dent == 175
    assert len(calls) <= 175 / 6 + 1
    groups = [24] * (ends // 24)
    in_groups = sleyed(repeat, *groups, reed=reed, unit=unit)
    dents = [unit.dent for call in SLEY.calls(in_groups) for unit in call.units][-1]
    assert len(list(SLEY.calls(in_groups))) <= dents / 6 + 2 * len(groups)


@given(
    repeats, st.lists(st.integers(1, 60), min_size=1, max_size=5), st.integers(1, 24), st.sampled_from([5, 8, 10, 15])
)
def test_what_is_called_is_what_the_dents_hold(repeat: tuple[int, ...], ends: list[int], size: int, reed: int) -> None:
    """The figures of every call, read as hands do, fill the dents one after the other; each mark is told once."""
    warp = sleyed(repeat, *ends, reed=reed)
    marks: Counter[int] = Counter()
    for call in SLEY.calls(warp, size):
        assert len({unit.dent for unit in call.units}) <= size
        items = SLEY.tell(warp, call)
        held = [number for item in items for number in _read([str(figure.text) for figure in item.figures], item.tell)]
        assert held == _lying(call)
        marks.update(item.tell.places["count"] for item in items if item.tell.phrase.startswith("mark"))
    assert marks == Counter(unit.mark for call in SLEY.calls(warp) for unit in call.units if unit.mark)


def _read(figures: list[str], tell: Tell) -> list[int]:
    """The ends in each dent, the empty ones too."""
    if not figures:
        return []
    row = [int(held) for held in figures[0].split("-")]
    if len(figures) > 1:  # of equal dents it stands in the small text
        row = [0] * tell.places.get("empty", 0) + row
    return row * (int(figures[1].removesuffix("×")) if len(figures) > 1 else 1)


def _lying(call: Call[Sleyed]) -> list[int]:
    """The same, of the ends themselves."""
    held: dict[int, int] = {}
    for unit in call.units:
        for dent in range(unit.dent - unit.empty, unit.dent) if unit.nth == 1 else ():
            held[dent] = 0
        held[unit.dent] = held.get(unit.dent, 0) + 1
    return [held[dent] for dent in sorted(held)]


@given(st.lists(st.integers(1, 3), min_size=1, max_size=16))
def test_rounds_are_the_row_again(row: list[int]) -> None:
    found, at = [], 0
    for length, times in rounds(row).rounds:
        found += row[at : at + length] * times
        at += length * times
    assert found == row


def test_rounds_leave_little_to_keep_in_mind() -> None:
    assert rounds([1, 2] * 6).rounds == (Round(2, 6),)
    assert rounds([2, 2, 2, 3, 2, 2, 3]).rounds == (Round(1, 1), Round(3, 2))
    assert rounds([5] * 9).rounds == (Round(1, 9),)
    assert rounds([1, 2, 3]).rounds == (Round(3, 1),)


def test_no_call_is_short_before_its_group_ends() -> None:
    calls = list(SLEY.calls(sleyed((2,), 400, reed=5)))
    assert all(len({unit.dent for unit in call.units}) >= LEAST for call in calls)


@pytest.mark.parametrize("code", codes())
def test_all_of_it_has_words(code: str) -> None:
    for warp in (
        sleyed((2, 2, 3), 49),
        sleyed((2, 0, 3), 60),
        sleyed((1, 2), 30, 7, reed=40, unit="cm"),
        sleyed((3,), 4, 3),
    ):
        assert not any("{" in line or "mark" in line or "rounds" in line for line in told(warp, language=code))
