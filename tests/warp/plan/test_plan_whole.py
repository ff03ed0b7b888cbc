"""The whole plan, as values."""

import json
from collections.abc import Mapping
from dataclasses import replace

import pytest

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.examples import examples
from assistant.warp.lengths import YARD
from assistant.warp.model import Warp
from assistant.warp.passes import HEDDLES, SLEY, TIE
from assistant.warp.passes.pace import Time
from assistant.warp.plan import Plan, plan, wishes
from assistant.warp.sequence import load, loads

KEYS = [
    "ends", "groups", "heddles", "width", "unit", "dents", "first_dent", "from_centre", "sley", "warp_faced", "cloth",
    "beams", "yarns", "sections", "lashed", "times",
]  # fmt: skip
BASE = "shafts: 4\ngroups: [{name: stripe, thread: 5(1..4), times: 23}]\n"  # 460 ends


def read(more: str = "", base: str = BASE) -> Warp:
    """A warp of 460 ends."""
    return loads((base + more).encode(), "f.yaml")


def planned(more: str, paces: Mapping[str, float] | None = None, **options: str) -> Plan:
    """The plan of a warp of 460 ends."""
    warp = read(more)
    return plan(warp, wishes(warp.unit, paces=paces, **options))


def test_the_hearth_runner_reckoned_by_hand() -> None:
    """252 ends, two in each of 10 dents an inch: 126 dents, 12.6 inches, half of them each way from the centre."""
    warp = load(examples()["hearth-runner"])
    told = plan(warp, wishes(warp.unit, reed_width="24in")).as_json()
    assert list(told) == KEYS
    assert json.loads(json.dumps(told)) == told
    assert (told["ends"], told["width"], told["unit"], told["dents"], told["sley"]) == (252, 12.6, "inch", 126, [2])
    assert (told["first_dent"], told["from_centre"]) == (58, 6.3)  # 57 of 240 dents are left empty at either side
    assert told["heddles"]["1"] == {"needed": 66, "on_loom": 220, "missing": 0, "left": 77, "right": 77}  # type: ignore[index]
    assert told["groups"][0] == {"name": "right edge", "ends": 6, "heddles": {"1": 3, "2": 3}}  # type: ignore[index]
    assert told["sections"][-1] == {"first_end": 241, "ends": 12, "width": 0.6}  # type: ignore[index]


def test_what_the_file_does_not_tell_is_left_open() -> None:
    told = planned("").as_json()
    assert list(told) == KEYS
    assert [told[key] for key in ("width", "dents", "first_dent", "from_centre")] == [None] * 4
    assert (told["sley"], told["sections"]) == ([], [])


def test_without_a_reed_the_sett_gives_the_width() -> None:
    told = planned("sett: 20\n").as_json()
    assert (told["width"], told["dents"], told["from_centre"], told["sley"]) == (23, None, 11.5, [])
    assert sum(section["ends"] for section in told["sections"]) == 460  # type: ignore[attr-defined]


def test_a_sley_plan_that_contradicts_the_sett_is_noticed() -> None:
    told = planned("sett: 20\nreed: 12\nsley: [2]\n")
    asked, given = Tell("per inch", number=20), Tell("per inch", number=24)
    assert told.cautions == (Tell("sett contradicted", asked=asked, given=given),)
    assert told.fits


def test_an_odd_dent_is_left_at_the_far_side() -> None:
    """230 dents in 241: 5 empty ones before, 6 after; the edge is 115 1/2 dents from the centre."""
    told = planned("sett: 20\nreed: 10\nreed_width: 24.1\n").as_json()
    assert (told["first_dent"], told["from_centre"]) == (6, 11.55)


def test_a_loom_that_cannot_take_the_warp() -> None:
    told = planned("sett: 20\nreed: 10\nreed_width: 20\nheddles: {1: 200, 2: 100}\n")
    assert not told.fits
    assert told.obstacles == (
        Tell("too few heddles", shaft=2, needed=115, counted=100, count=15),
        Tell("too wide inch", width=23, room=20),
    )
    assert told.as_json()["first_dent"] is None


def test_a_metric_warp_counts_dents_in_10_cm() -> None:
    told = planned("unit: cm\nsett: 80\nreed: 40\nreed_width: 60\n").as_json()
    assert (told["width"], told["unit"], told["dents"], told["first_dent"]) == (57.5, "cm", 230, 6)


def test_tying_saves_about_three_quarters_of_a_yard_of_every_end() -> None:
    """A check value, common practice, no source; and some 440 knots take about four hours."""
    told = planned("sett: 20\n")
    assert told.tying.metres / 460 / YARD == pytest.approx(0.75, rel=0.1)
    [knots] = [time.seconds for time in told.times if time.job == TIE.name]
    assert knots / 460 * 440 / 3600 == pytest.approx(4, rel=0.1)


def test_half_inch_sections_to_lash_on_hold_ten_ends_at_20_an_inch() -> None:
    """A check value, common practice, no source."""
    told = planned("sett: 20\nreed: 10\n")
    assert {(section.ends, section.width) for section in told.lashed} == {(10, 0.5)}
    assert sum(section.ends for section in told.lashed) == 460


def test_what_tying_saves_in_time() -> None:
    told = planned("", paces={"heddles": 3.0, "thread": 30.0, "sley": 6.0, "tie": 20.0})
    assert told.tying.seconds == 460 * (3 + 30 + 6 - 20)
    usual = planned("", paces={"thread": 30.0})
    assert usual.tying.seconds == 460 * (HEDDLES.pace + 30 + SLEY.pace - TIE.pace)


def test_the_time_of_every_job_in_the_order_of_work() -> None:
    """Common practice, no source; at one's own pace where that is known, and the heddles by their number."""
    told = planned("", paces={"sley": 6.0})
    assert [time.job for time in told.times] == ["wind", "heddles", "thread", "check", "sley", "tie"]
    assert [time for time in told.times if time.own] == [Time("sley", 460 * 6.0, own=True)]
    front = planned("warping: front-to-back\n")
    assert [time.job for time in front.times] == ["wind", "sley", "heddles", "thread", "check", "tie"]
    assert planned("").as_json()["times"][1] == {"job": "heddles", "seconds": 690, "own_pace": False}  # type: ignore[index]


def test_sections_of_a_width() -> None:
    told = planned("sett: 20\nreed: 10\n", section="2in")
    assert [(s.ends, round(s.width, 2)) for s in told.sections] == [(40, 2.0)] * 11 + [(20, 1.0)]
    narrow_rest = planned("sett: 20\nreed: 10\n", section="3in").sections
    assert [s.ends for s in narrow_rest] == [60] * 7 + [40]
    assert [s.ends for s in planned("sett: 20\nreed: 10\n", section="11in").sections] == [220, 240]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"reeds": "8,0"}, "the reeds are '8,0'; write dents per unit with commas between, as in 8,10,12"),
        ({"reeds": "8,-1"}, "the reeds are '8,-1'; write dents per unit with commas between, as in 8,10,12"),
        ({"reeds": "8;9"}, "the reeds are '8;9'; write dents per unit with commas between, as in 8,10,12"),
        ({"reeds": "99999"}, "reed is 99,999; write its dents per unit, for instance 10"),
        ({"reed_width": "-3"}, "the width of the reed is '-3'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"cloth": "long"}, "the length of cloth is 'long'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"take_up": "-5"}, "the take-up is '-5'; write per cent, from 0 to 90"),
        ({"shrinkage": "100%"}, "the shrinkage is '100%'; write per cent, from 0 to 90"),
        ({"section": "0.01in"}, "a section of 0.01 is too narrow; write a width that holds some ends"),
    ],
)
def test_options_that_cannot_be(options: dict[str, str], said: str) -> None:
    with pytest.raises(PlanError) as caught:
        planned("sett: 20\nreed: 10\n", None, **options)
    assert str(caught.value) == said


def test_reeds_cannot_be_ranked_without_a_sett() -> None:
    with pytest.raises(PlanError, match="there is no sett to rank reeds for"):
        planned("", reeds="8,10")


def test_numbers_in_the_file_that_cannot_be() -> None:
    for more in ("reed: 90000\n", "sett: 900000\nreed: 10\n", "sett: 0.0001\n", "reed: 1\nsley: [1, 0, 0, 0]\n"):
        try:
            assert plan(read(more))
        except PlanError as error:
            assert "look for" in str(error) or "write its dents" in str(error)  # noqa: PT017


def test_shafts_beyond_the_loom() -> None:
    warp = read()
    small = replace(warp, loom=replace(warp.loom, shafts=3))
    assert plan(small).obstacles == (Tell("too few shafts", highest=4, shafts=3),)


def test_a_hundred_thousand_ends_are_planned() -> None:
    warp = loads(b"shafts: 4\nsett: 23\nreed: 10\ngroups: [{thread: 250(1..4), times: 100}]", "f.yaml")
    told = plan(warp)
    assert sum(section.ends for section in told.sections) == warp.ends == 100_000


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_example_fits_its_loom_without_a_caution(name: str) -> None:
    told = plan(load(examples()[name]))
    assert told.fits
    assert told.cautions == ()
