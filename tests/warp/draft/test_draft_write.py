"""WIF out, and in again."""

from configparser import RawConfigParser

import pytest
from drawn import warps
from hypothesis import HealthCheck, given, settings

from assistant.warp.draft import read_draft, to_warp, write_draft
from assistant.warp.examples import examples
from assistant.warp.heddles import heddles
from assistant.warp.model import End, Group, Loom, Warp, Yarn
from assistant.warp.notation import parse
from assistant.warp.sequence import load


def back(warp: Warp) -> Warp:
    """The warp written and read."""
    return to_warp(read_draft(write_draft(warp).encode(), "back.wif"), warp.start)


def looks(warp: Warp) -> list[tuple[tuple[int, ...], str]]:
    """Shafts and colour of every end."""
    colours = {key: yarn.colour.lower() for key, yarn in warp.yarns.items()} | {"": ""}
    return [(end.shafts, colours[end.yarn]) for end in warp.every_end()]


@given(warps())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_ends_colours_and_sett_come_back(warp: Warp) -> None:
    again = back(warp)
    assert looks(again) == looks(warp)
    assert (again.start, again.loom.shafts) == (warp.start, warp.loom.shafts)
    assert again.title == (warp.title.strip() or "back")
    if warp.sett is not None and warp.sett > 1e-6:
        assert again.sett == pytest.approx(warp.sett, rel=1e-5)
        assert again.unit == warp.unit


@pytest.mark.parametrize("name", examples())
def test_the_examples_come_back(name: str) -> None:
    warp = load(examples()[name])
    again = back(warp)
    assert looks(again) == looks(warp)
    assert (again.title, again.sett, again.unit) == (warp.title, warp.sett, warp.unit)
    assert heddles(again.every_end()) == heddles(warp.every_end())


def test_other_readers_find_the_sections() -> None:
    """As Python's configparser reads the file; the section and key names are WIF 1.1's, from memory."""
    ends = (End((1,), "flax"), End((2, 4)))
    warp = Warp("Towel", Loom(4), (Group("all", ends),), sett=20, yarns={"flax": Yarn("flax", "flax", "#c9b48a")})
    outside = RawConfigParser()
    outside.read_string(write_draft(warp))
    assert outside["WIF"]["version"] == "1.1"
    assert {key.upper() for key in outside["CONTENTS"]} == set(outside.sections()) - {"WIF", "CONTENTS"}
    assert dict(outside["WARP"]) == {"threads": "2", "units": "Inches", "spacing": "0.05"}
    assert dict(outside["THREADING"]) == {"1": "1", "2": "2,4"}
    assert dict(outside["COLOR TABLE"]) == {"1": "201,180,138"}
    assert dict(outside["WARP COLORS"]) == {"1": "1"}


# One repeat of a threading, and its heddles by shaft. Rosepath, M's and O's and huck as in Davison, A Handweaver's
# Pattern Book (1944), from memory; the lace on eight shafts is common practice, no source.
PUBLISHED = [
    ("rosepath", "1 2 3 4 1 4 3 2", {1: 2, 2: 2, 3: 2, 4: 2}),
    ("M's and O's", "2(1 2) 2(3 4) 2(1 3) 2(2 4)", {1: 4, 2: 4, 3: 4, 4: 4}),
    ("huck", "1 3 1 3 1 2 4 2 4 2", {1: 3, 2: 3, 3: 2, 4: 2}),
    (
        "lace of 36 ends",
        "1 3 1 3 1 2, 1 4 1 4 1 2, 1 5 1 5 1 2, 1 6 1 6 1 2, 1 7 1 7 1 2, 1 8 1 8 1 2",
        {1: 18, 2: 6, 3: 2, 4: 2, 5: 2, 6: 2, 7: 2, 8: 2},
    ),
]


@pytest.mark.parametrize(("name", "repeat", "totals"), PUBLISHED)
def test_heddle_totals_of_known_threadings_survive(name: str, repeat: str, totals: dict[int, int]) -> None:
    ends = tuple(End(shafts) for shafts in parse(f"10({repeat})").shafts)
    again = back(Warp(name, Loom(8), (Group("all", ends),)))
    assert heddles(again.every_end()) == {shaft: 10 * count for shaft, count in totals.items()}
