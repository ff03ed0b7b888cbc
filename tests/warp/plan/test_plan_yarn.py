"""Yarn, its thickness, and what the sett should be near."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from assistant.meaning import Tell
from assistant.warp.counts import per_kilogram
from assistant.warp.lengths import METRES
from assistant.warp.model import Warp
from assistant.warp.plan.yarn import closest, diameters, is_warp_faced, label_cautions, sett_cautions, yarn_plans
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.phrases import Phrases

FLAX = "groups: [{thread: 50(1 2), yarn: flax}]"
STRIPES = 'groups: [{thread: 50(1 2), yarn: "3 flax, 1 rust"}]'


def warp(yarns: str, groups: str = STRIPES, more: str = "") -> Warp:
    """A warp of two shafts."""
    return loads(f"shafts: 2\n{more}yarns: {yarns}\n{groups}".encode(), "f.yaml")


def test_yarn_by_colour() -> None:
    """Reckoned by hand: 75 and 25 ends of 4 m; 300 m at 8400 m/kg are 35.7 g."""
    flax, rust = yarn_plans(warp("{flax: {metres_per_kg: 8400}, rust: {}}"), 4.0)
    assert (flax.name, flax.ends, flax.metres) == ("flax", 75, 300)
    assert flax.grams == pytest.approx(35.714, abs=0.001)
    assert (rust.ends, rust.metres, rust.grams) == (25, 100, None)
    assert [yarn.metres for yarn in yarn_plans(warp("{flax: {}, rust: {}}"), None)] == [None, None]


def test_the_count_on_the_label_serves_as_well() -> None:
    (flax,) = yarn_plans(warp("{flax: {count: 10 Nm}}", FLAX), 2.0)
    assert flax.grams == pytest.approx(20)


def test_ends_without_a_yarn_are_counted_too() -> None:
    (plain,) = yarn_plans(warp("{flax: {}}", "groups: [{thread: 1 2}]"), 1.0)
    assert (plain.name, plain.ends, plain.as_json()["name"]) == ("", 2, "yarn not given")


def words(cautions: Iterable[Tell]) -> tuple[str, ...]:
    return tuple(map(Phrases.read(load("en"), "plan", "paper").told, cautions))


def test_label_and_file_that_contradict_each_other_are_noticed() -> None:
    warp_of = "{flax: {count: 10 Nm, metres_per_kg: 5000}, rust: {count: 10 Nm, metres_per_kg: 9500}}"
    assert words(label_cautions(warp(warp_of))) == (
        "flax: 10 Nm comes to 10,000 m/kg, the file says 5,000; the file's number is used",
    )


def test_a_label_that_may_mean_two_things_is_told_with_both() -> None:
    """Where the file says metres_per_kg too, no doubt is left; and none where the label is written as it is told."""
    assert words(label_cautions(warp("{flax: {count: 12/15 Ne}, rust: {count: 16/2 Ne}}"))) == (
        "flax: 12/15 Ne is read as 12 Ne x 15, 1,355 m/kg; it may be 15 Ne x 12, 2,117 m/kg: write the one that it is",
    )
    assert label_cautions(warp("{flax: {count: 12/15 Ne, metres_per_kg: 2100}, rust: {count: 12 Ne x 15}}")) == ()


def test_yarn_on_beams_of_their_own_length() -> None:
    """By hand: 75 and 25 ends; those of the pile beam are 7 m long, the others 4 m."""
    striped = warp("{flax: {metres_per_kg: 8400}, rust: {}}")
    [group] = striped.groups
    beamed = replace(group, ends=tuple(replace(end, beam="pile" if end.yarn == "rust" else "") for end in group.ends))
    flax, rust = yarn_plans(replace(striped, groups=(beamed,)), 4.0, {"pile": 7.0})
    assert (flax.metres, rust.metres) == (300, 175)


def test_ashenhursts_worked_values() -> None:
    """From memory of his treatise (1884): 2/40s worsted has 11,200 yards in a pound; √ 105.8, less a tenth 95.2.

    Of these diameters a plain weave takes a half, 47.6 ends an inch, and a 2/2 twill two thirds, 63.5.
    """
    worsted = per_kilogram("40/2 NeK")
    assert diameters(worsted) == pytest.approx(95.2, abs=0.1)
    most = closest(warp("{flax: {count: 40/2 NeK}}", FLAX))
    assert most
    assert most.plain_weave == pytest.approx(47.6, abs=0.05)
    assert most.twill == pytest.approx(63.5, abs=0.05)


def test_a_metric_warp_counts_in_10_cm() -> None:
    inch, cm = (closest(warp("{flax: {count: 8/2 Ne}}", FLAX, unit)) for unit in ("unit: inch\n", "unit: cm\n"))
    assert inch
    assert cm
    assert cm.plain_weave == pytest.approx(inch.plain_weave / METRES["inch"] * 0.1)


def test_two_yarns_side_by_side_count_by_their_mean_thickness() -> None:
    """A yarn of a quarter of the length to the kilogram is twice as thick."""
    thin = closest(warp("{flax: {metres_per_kg: 8000}, rust: {metres_per_kg: 8000}}"))
    mixed = closest(warp("{flax: {metres_per_kg: 8000}, rust: {metres_per_kg: 2000}}"))
    assert thin
    assert mixed
    assert mixed.plain_weave == pytest.approx(thin.plain_weave / 1.25)


def test_a_sett_far_from_what_the_yarn_suggests_is_advised_against() -> None:
    """8/2 cotton is commonly set between 16 and 24 an inch, plain or twill (common practice, no source)."""
    cotton = warp("{flax: {count: 8/2 Ne}, rust: {count: 8/2 Ne}}")
    assert all(sett_cautions(cotton, sett) == () for sett in (16, 20, 24, 30))
    assert words(sett_cautions(cotton, 200)) == (
        "sett 200 is closer than even a warp-faced cloth of this yarn, which lies closest at 26 an inch in plain weave "
        "and 35 in 2/2 twill (Ashenhurst's diameters, 1884); look for a wrong number",
    )
    assert "sett 8 is open for this yarn" in words(sett_cautions(cotton, 8))[0]


def test_a_warp_faced_cloth_is_not_called_too_close() -> None:
    """About twice the sett of plain weave (common practice, no source): some 50 an inch for 8/2 cotton."""
    cotton = warp("{flax: {count: 8/2 Ne}, rust: {count: 8/2 Ne}}")
    for sett in (40, 48, 52, 60):
        assert sett_cautions(cotton, sett) == ()
        assert is_warp_faced(closest(cotton), sett)
    assert not any(is_warp_faced(closest(cotton), sett) for sett in (16, 24, 34, 200))


def test_nothing_is_advised_where_the_yarn_is_not_known() -> None:
    assert sett_cautions(warp("{flax: {}, rust: {}}"), 500) == ()
    assert sett_cautions(warp("{flax: {count: 8/2 Ne}}", FLAX), None) == ()
