"""From a fault in the cloth to the end, its group, shaft and dent."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import PlanError
from assistant.paper.spot import lines
from assistant.warp.examples import examples
from assistant.warp.locate import Spot, locate
from assistant.warp.model import Warp
from assistant.warp.sequence import load, loads
from assistant.words import language
from assistant.words.printed import Printed

HEARTH = load(examples()["hearth-runner"])


def read(more: str) -> Warp:
    """Two groups of 20 ends."""
    text = "shafts: 4\nyarns: {flax: {name: line flax}}\ngroups:\n- {name: plain, thread: 10(1 2)}\n"
    return loads(f"{text}- {{name: joint, thread: 10(1/3 4), yarn: flax}}\n{more}".encode(), str(Path("f.yaml")))


def one(warp: Warp, **place: object) -> Spot:
    """The only end at a place."""
    (spot,) = locate(warp, **place)  # type: ignore[arg-type]
    return spot


def test_an_end_counted_by_hand() -> None:
    """End 212: 6 in the edge, 8 stripes of 24, so the 14th of stripe 9; two in a dent, so dent 106, its second."""
    spot = one(HEARTH, end=212)
    assert (spot.group, spot.place, spot.of, spot.yarn, spot.dent) == ("stripe 9", 14, 24, "line flax", 106)
    assert spot.shafts == (4,)  # the sixth of the rose, 1 2 3 4 1 4 3 2
    assert spot.from_right == pytest.approx(10.575)
    assert spot.from_left == pytest.approx(2.025)
    assert spot.from_centre == pytest.approx(-4.275)


def test_a_dent_holds_its_ends() -> None:
    assert [spot.end for spot in locate(HEARTH, dent=106)] == [211, 212]


def test_a_distance_from_either_edge_in_any_unit() -> None:
    """18.4 cm are 7.244 inches: 144.9 ends of a twentieth of an inch, so the 145th."""
    assert one(HEARTH, from_right="18.4cm").end == 145
    assert one(HEARTH, from_right="7 1/4in").end == 145
    assert one(HEARTH, from_left="18.4cm").end == 252 - 144


def test_right_is_right_for_a_warp_begun_at_the_left() -> None:
    blanket = load(examples()["winter-blanket"])
    assert one(blanket, from_left="1mm").end == 1
    assert one(blanket, from_right="1mm").end == 1224
    first = one(blanket, end=1)
    assert first.from_left is not None
    assert first.from_right is not None
    assert first.from_left < first.from_right


def test_a_cloth_that_has_drawn_in() -> None:
    """At 11.34 inches wide the cloth has lost a tenth; 9 inches of it were 10 in the reed, the 200th end."""
    assert one(HEARTH, from_right="8.99in", cloth_width="11.34in").end == 200


def test_it_is_told_in_two_or_three_lines() -> None:
    english = Printed(language.load("en"))
    assert lines(one(read("reed: 5\nsley: [2, 0]\nreed_width: 10\n"), end=21), english) == [
        "end 21: end 1 of 20 in joint: shafts 1 and 3, line flax",
        "  dent 21 of those in use, dent 26 of the reed",
        "  4.05 inches from the right edge, 3.75 inches from the left, 0.15 inches to the left of the centre",
    ]
    assert lines(one(read(""), end=1), english) == ["end 1: end 1 of 20 in plain: shaft 1"]


def test_as_json_what_is_not_known_is_null() -> None:
    told = one(read(""), end=21).as_json()
    assert told == {
        "end": 21, "group": "joint", "place": 1, "of": 20, "shafts": (1, 3), "heddle": 1, "together": 1,
        "yarn": "line flax", "beam": "", "dent": None,
        "reed_dent": None, "unit": "inch", "from_right": None, "from_left": None, "from_centre": None,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ({}, "say in one way where it is: a distance from the right or the left, an end or a dent"),
        ({"end": 1, "dent": 1}, "say in one way where it is: a distance from the right or the left, an end or a dent"),
        ({"end": 0}, "there is no end 0; this warp has ends 1 to 40"),
        ({"end": 41}, "there is no end 41; this warp has ends 1 to 40"),
        ({"dent": 40}, "there is no dent 40; this warp has dents 1 to 39"),
        ({"dent": 2}, "dent 2 is left empty; ends 2 and 3 lie beside it"),
        ({"from_right": "4in"}, "4 inches is beyond the other edge: the warp is 3.9 inches wide"),
        ({"from_right": "near"}, "the distance is 'near'; write a length, for instance 18.4cm or 7 1/4in"),
    ],
)
def test_places_that_are_not_there(place: dict[str, object], said: str) -> None:
    with pytest.raises(PlanError) as caught:
        one(read("reed: 10\nsley: [2, 0]\n"), **place)
    assert str(caught.value) == said


def test_without_sett_or_reed_only_ends_can_be_found() -> None:
    with pytest.raises(PlanError, match="the width of the warp is not known"):
        one(read(""), from_right="3cm")
    with pytest.raises(PlanError, match="the dents are not known"):
        one(read("sett: 10\n"), dent=3)


WAYS = ["sett: 23\nreed: 10", "reed: 8\nsley: [3, 0, 1]", "sett: 7", "start: left\nsett: 9"]


@given(st.integers(1, 40), st.sampled_from(WAYS))
def test_an_end_is_found_again_by_its_distance_and_its_dent(end: int, more: str) -> None:
    warp = read(more + "\n")
    spot = one(warp, end=end)
    assert one(warp, from_right=f"{spot.from_right:.9f}in").end == end
    assert one(warp, from_left=f"{spot.from_left:.9f}in").end == end
    if spot.dent:
        assert end in [there.end for there in locate(warp, dent=spot.dent)]
