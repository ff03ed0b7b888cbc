"""From the cloth that is wanted back to the warp."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import PlanError, SequenceError
from assistant.meaning import Tell
from assistant.warp.examples import examples
from assistant.warp.lengths import METRES, YARD, unit_written
from assistant.warp.model import Beam, End, Group, Unit, Warp
from assistant.warp.plan import Plan, imagined, plan, plan_cloth, wishes
from assistant.warp.plan.cloth import (
    WARP,
    ClothPlan,
    choices,
    cloth_plan,
    finished_width,
    repeat,
    stem,
    width_in_reed,
)
from assistant.warp.plan.length import length
from assistant.warp.plan.wishes import per_unit
from assistant.warp.reed import in_reed
from assistant.warp.sequence import load, loads

STRIPES = (
    "shafts: 4\nsett: 20\ngroups: [{name: edge, thread: 1 2}, {name: stripe, thread: 6(1..4), times: 10}, {thread: 1}]"
)
MEASURE = "write how many in an inch or in 10 cm, for instance 20, 20/in or 8/cm"
SOLD = "250g, 1/2lb or 1680yd"
LOSSLESS = {"take_up": "0", "weft_take_up": "0", "shrinkage": "0", "draw_in": "0"}


def without_file(
    sett: float, told: dict[str, str], count: str = "", ends: int = 1, edges: int = 0, unit: Unit = "inch"
) -> Plan:
    """Of a cloth of which there is only this."""
    return plan_cloth(imagined(unit, sett, count, ends, edges), wishes(unit, paces=None, **{"weft": WARP, **told}))


def cloth(of: Plan) -> ClothPlan:
    """What is told of the cloth."""
    assert of.cloth
    return of.cloth


def ends_of(warp: Warp) -> list[tuple[End, ...]]:
    """Group by group, whatever they are called."""
    return [group.ends for group in warp.groups]


def read(text: str) -> Warp:
    """A file."""
    return loads(text.encode(), "f.yaml")


def test_six_towels_reckoned_by_hand() -> None:
    """20 in wide and 28 in long with hems of 1 in, of 8/2 cotton at 20 an inch, in repeats of 24 ends and one beside.

    Width: 20 / 0.9 / 0.95 = 23.39 in in the reed, 467.8 ends; 19 repeats are 457 ends, 22.85 in, 19.54 in finished; 20
    are 481, 20.56 in. Length: 6 x 30 = 180 in finished, 200 woven, 222.2 of warp, 249.2 with 27 in of waste. Yarn:
    457 x 249.2 in = 3,163.7 yd; 20 picks an inch over 200 in are 4,000, of 22.85 / 0.9 = 25.39 in: 2,821 yd; at 3,360
    yards in a pound 5,984.7 yd are 1.781 lb, 808 g: four cones of half a pound.
    """
    told = without_file(
        20, {"width": "20in", "cloth": "28in", "pieces": "6", "hem": "1in", "put_up": "8 oz"}, "8/2 Ne", 24, 1
    )
    found = cloth(told)
    assert [(c.times, c.ends, round(c.finished, 2)) for c in found.choices] == [
        *((18, 433, 18.51), (19, 457, 19.54), (20, 481, 20.56)),
    ]
    assert found.length
    assert [found.in_reed, *found.length] == pytest.approx([22.85, 180, 200, 249.22], abs=0.01)
    assert [found.picks, found.pick] == pytest.approx([4000, 25.39], abs=0.005)
    [yarn] = found.yarns
    assert yarn.warp == pytest.approx(3163.7 * YARD, abs=0.1)
    assert yarn.weft == pytest.approx(2821.0 * YARD, abs=0.1)
    assert [yarn.grams, yarn.put_ups] == pytest.approx([807.9, 4], abs=0.1)
    assert told.warp.ends == 457
    assert told.as_json()["heddles"] == {}


def test_a_shawl_with_fringes_in_centimetres_reckoned_by_hand() -> None:
    """60 cm by 2 m with fringes of 15 cm at 8 ends in a cm, 5 % lost every way, a sample of 20 cm, 60 cm of waste.

    Width: 60 / 0.95 / 0.95 = 66.48 cm, 531.9 ends. Length: 200 / 0.95 + 20 = 230.5 cm woven, 242.7 of warp, with two
    fringes and waste 332.7 cm: 532 ends are 1,769.7 m, of 6 m in a gram 295 g, six skeins of 50 g. Of another weft, 7
    picks in a cm over 230.5 cm are 1,614 of 66.5 / 0.95 = 70 cm: 1,129.8 m, three skeins of 500 m.
    """
    losses = {"shrinkage": "5", "take_up": "5", "weft_take_up": "5", "draw_in": "5", "waste": "60cm"}
    shawl = {"width": "60", "cloth": "2 m", "fringe": "15cm", "sample": "20", "picks": "7/cm", "weft": "12 Nm"}
    told = without_file(80, {**shawl, **losses, "put_up": "50g", "weft_put_up": "500m"}, "6 Nm", unit="cm")
    found = cloth(told)
    assert [choice.ends for choice in found.choices] == [531, 532, 533]
    assert found.length
    assert [found.length.woven, found.length.warp] == pytest.approx([230.53, 332.66], abs=0.01)
    warp, weft = found.yarns
    assert [warp.warp, warp.weft, warp.put_ups] == pytest.approx([1769.7, 0, 6], abs=0.1)
    assert [found.picks, weft.weft, weft.put_ups, weft.grams] == pytest.approx([1614, 1129.8, 3, 94.15], abs=0.1)
    assert weft.name == "12 Nm"


def test_the_textbooks_formula_for_the_weight_of_warp_and_weft() -> None:
    """Ends, or picks an inch times inches in the reed, by yards, over 840 times the count, are pounds of cotton.

    As textbooks of textile calculation have it since the nineteenth century, from memory: 2,400 ends of 60/2, 36
    inches wide and 70 yards long, take 6.67 lb of warp, and 60 picks an inch of 40s 4.5 lb of weft.
    """
    bolt = {"width": "36in", "cloth": "70yd", "waste": "0.000001in", "picks": "60", "weft": "40 Ne"}
    told = without_file(2400 / 36, bolt | LOSSLESS, "60/2 Ne")
    warp, weft = cloth(told).yarns
    assert warp.grams == pytest.approx(2400 * 70 / (840 * 30) * 453.592, rel=1e-3)
    assert weft.grams == pytest.approx(60 * 36 * 70 / (840 * 40) * 453.592, rel=1e-3)


def test_a_warp_22_inches_wide_begins_11_inches_from_the_centre() -> None:
    """A check value, common practice, no source."""
    told = without_file(20, {"width": "22in"} | LOSSLESS)
    assert (told.warp.ends, told.start and told.start.from_centre) == (440, 11)


def test_how_often_the_group_of_a_file_is_to_be_repeated() -> None:
    """12.6 inches in the reed as it stands; 13 stripes are 324 ends, 16.2 inches, 13.85 finished; by hand."""
    warp = load(examples()["hearth-runner"])
    found = cloth(plan(warp, wishes("inch", width="14in", cloth="3yd", weft="flax")))
    assert found.repeat
    assert found.repeat.as_json() == {"groups": ["stripe"], "ends": 24, "besides": 12, "times": 10}
    assert [(choice.times, choice.ends) for choice in found.choices] == [(12, 300), (13, 324), (14, 348)]
    assert found.in_reed == pytest.approx(16.2)
    [flax] = found.yarns
    assert (flax.name, flax.warp is not None and flax.warp > 0, flax.weft is not None and flax.weft > 0) == (
        "line flax", True, True,
    )  # fmt: skip


def test_groups_that_are_repeated_together_are_one_repeat() -> None:
    """Two of lace and a stripe, 72 ends, three times in the file; a lace, and the borders, stand beside them."""
    found = repeat(load(examples()["orchard-shawl"]))
    assert found
    assert found.as_json() == {"groups": ["lace", "stripe"], "ends": 72, "besides": 68, "times": 3}


def test_the_file_itself_is_planned_as_it_stands() -> None:
    warp = load(examples()["hearth-runner"])
    wide, plain = plan(warp, wishes("inch", width="14in")), plan(warp)
    assert replace(wide, cloth=None, wanted=plain.wanted) == plain


@pytest.mark.parametrize(
    ("groups", "called", "found"),
    [
        ("{thread: 1 2}", None, (["group"], 1, 0)),
        ("{thread: 1 2}, {thread: 3 4}", None, None),
        ("{name: a, thread: 1 2}, {name: b, thread: 3 4}", "b", (["b"], 1, 2)),
        ("{name: a, thread: 1 2, times: 9}, {name: b, thread: 3, times: 2}", "b", (["b"], 2, 18)),
        ("{name: a, thread: 1 2, times: 9}, {name: b, thread: 3, times: 2}", None, (["a"], 9, 2)),
        (
            "{name: a, thread: 1}, {name: b, thread: 3 4}, {name: a, thread: 1}, {name: b, thread: 3 4}, "
            "{name: a, thread: 1}",
            None,
            (["a", "b"], 2, 1),
        ),
    ],
)
def test_what_repeats_in_a_file(groups: str, called: str | None, found: tuple[list[str], int, int] | None) -> None:
    of = repeat(read(f"shafts: 4\ngroups: [{groups}]"), called)
    if found is None:
        assert of is None
        return
    names, _, besides = found
    assert of
    assert ([stem(group.name) for group in of.groups], of.times, of.besides) == found
    assert ends_of(of.repeated(of.times)) == ends_of(of.warp)
    assert of.repeated(5).ends == besides + 5 * of.ends
    assert len(names) == of.together


def test_what_is_at_the_edges_is_no_part_of_a_repeat() -> None:
    """Ten stripes of 24 ends with a floating end and two doubled heddles at either side: 246 ends; eight are 198."""
    edged = read(
        "shafts: 4\nsett: 20\nselvedge: {floating: 1, doubled: 2}\ngroups: [{name: stripe, thread: 6(1..4), times: 10}]"
    )
    assert edged.ends == 246
    for of in (repeat(edged), repeat(edged, "stripe")):
        assert of
        assert (of.names, of.ends, of.times, of.besides) == (("stripe",), 24, 10, 6)
        assert ends_of(of.repeated(10)) == ends_of(edged)
        assert [of.repeated(8).ends, of.repeated(12).ends] == [198, 294]
    alone = read("shafts: 4\nsett: 20\nselvedge: {floating: 1, doubled: 2}\ngroups: [{thread: 6(1..4)}]")
    single = repeat(alone)
    assert single
    assert (single.ends, single.besides, single.repeated(1), single.repeated(3).ends) == (24, 6, alone, 78)


def test_where_nothing_repeats_it_is_told_as_it_stands() -> None:
    two = read("shafts: 4\nsett: 20\ngroups: [{thread: 50(1 2)}, {thread: 40(3 4)}]")
    found = cloth(plan(two, wishes("inch", width="14in")))
    assert (found.choices, found.repeat, found.warp) == ((), None, two)
    assert found.in_reed == 9


@settings(max_examples=30)
@given(
    st.integers(1, 40),
    st.integers(0, 30),
    st.floats(1, 20),
    st.sampled_from([(20, "2"), (23, "2, 3"), (15, "1, 2, 0")]),
)
def test_the_nearest_is_the_nearest_and_back_it_leads_to_the_same(
    ends: int, edge: int, width: float, reed: tuple[int, str]
) -> None:
    """Against every number of repeats, one by one, in a reed with its sley."""
    groups = f"{{name: stripe, thread: {ends}(1)}}" + (f", {{name: edge, thread: {edge}(2)}}" if edge else "")
    warp = read(f"shafts: 2\nreed: {reed[0]}\nsley: [{reed[1]}]\ngroups: [{groups}]")
    of = repeat(warp, "stripe")
    assert of
    wanted = wishes("inch", width=f"{width:.4f}in")
    found = choices(of, wanted)
    widths = {}
    for times in range(1, found[-1].times + 3):
        lying = in_reed(of.repeated(times))
        assert lying
        widths[times] = finished_width(lying.width, wanted)
    assert list(widths.values()) == sorted(widths.values())
    told = cloth_plan(warp, wanted, of)
    assert abs(told.finished - width) <= min(abs(each - width) for each in widths.values()) + 1e-4
    assert [choice.times for choice in found] == list(range(found[0].times, found[-1].times + 1))
    again = cloth_plan(warp, wishes("inch", width=f"{told.finished:.9f}in"), of)
    assert again.finished == pytest.approx(told.finished)


PARTS = st.floats(0, 40).map("{:.2f}".format)


@given(st.floats(0.5, 2000), PARTS, PARTS)
def test_from_the_width_to_the_reed_and_back(width: float, shrinkage: str, draw_in: str) -> None:
    wanted = wishes("cm", width_shrinkage=shrinkage, draw_in=draw_in)
    assert finished_width(width_in_reed(width, wanted), wanted) == pytest.approx(width)
    assert width_in_reed(width, wanted) >= width


@given(st.integers(1, 500), st.integers(1, 20), PARTS, PARTS)
def test_more_cloth_takes_no_less(cloth: int, pieces: int, shrinkage: str, take_up: str) -> None:
    def warp(cloth: int, pieces: int, **more: str) -> float:
        told = {"shrinkage": shrinkage, "take_up": take_up, **more}
        found = length(wishes("cm", paces=None, cloth=str(cloth), pieces=str(pieces), **told))
        assert found
        return found.warp

    plainly = warp(cloth, pieces)
    assert plainly >= cloth * pieces
    longer = [warp(cloth + 1, pieces), warp(cloth, pieces + 1)]
    longer += [warp(cloth, pieces, **{one: "1cm"}) for one in ("hem", "fringe", "sample")]
    assert min(longer) > plainly


def test_the_length_to_wind() -> None:
    """By hand: 2.43 m woven off 3 m of warp lose 10 % in washing; 2.7 m of warp bend to 2.43 m; 0.7 m are waste."""
    found = length(wishes("cm", cloth="218.7"))
    assert found
    assert found.warp == pytest.approx(340)
    assert length(wishes("cm")) is None


def test_beams_with_a_length_or_a_take_up_of_their_own() -> None:
    """By hand: 90 cm woven of 180 cm of pile, half of it taken up, and 70 cm of waste; of gold the file says 9 m."""
    beams = {"ground": Beam("ground", ""), "pile": Beam("pile", "", take_up=0.5), "gold": Beam("gold", "", metres=9.0)}
    ends = tuple(End((1,), key, beam=key) for key in beams for _ in range(10))
    warp = replace(read(STRIPES), unit="cm", beams=beams, groups=(Group("all", ends),))
    found = cloth_plan(warp, wishes("cm", cloth="81"))
    assert {yarn.key: yarn.warp for yarn in found.yarns if yarn.warp} == {
        "ground": pytest.approx(17), "pile": pytest.approx(25), "gold": 90.0,
    }  # fmt: skip


def test_a_beam_that_is_too_short_for_the_cloth_is_told() -> None:
    """By hand: 2 yd of cloth are 80 inches woven, 88.9 of warp, 115.9 with the waste: 3.2 yd; with 50 % lost 5.2."""
    beams = "beams: {a: {length: 3 yd}, b: {length: 4 yd}, c: {length: 5 yd, take_up: 50}, d: {}}"
    warp = read(f"shafts: 4\nsett: 20\n{beams}\ngroups: [{{thread: 5(1..4), beam: 'a, b, c, d'}}]")
    told = [caution for caution in plan(warp, wishes("inch", cloth="2yd")).advice if caution.phrase == "beam too short"]
    numbers = {
        str(each.places["beam"]): [each.places[name].places["number"] for name in ("length", "needed")] for each in told
    }
    assert numbers == {"a": [3.0, 3.2], "c": [5.0, 5.2]}
    assert "beam too short" not in [caution.phrase for caution in plan(warp).advice]


@pytest.mark.parametrize(
    ("written", "unit", "number"),
    [
        ("20", "inch", 20),
        ("20/in", "cm", 78.74),
        ("8/cm", "cm", 80),
        ("80/10cm", "inch", 20.32),
        ("8 / cm", "inch", 20.32),
    ],
)
def test_a_sett_in_either_measure(written: str, unit: Unit, number: float) -> None:
    assert per_unit(written, Tell("the sett"), unit) == pytest.approx(number, abs=0.005)


def test_the_unit_that_a_width_is_written_in() -> None:
    assert [unit_written(text) for text in ("20in", "50 cm", "500mm", "1/2yd", "20", "")] == [
        *("inch", "cm", "cm", "inch", None, None),
    ]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"width": "wide"}, "the width of cloth is 'wide'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"pieces": "0"}, "the number of pieces is '0'; write a whole number from 1 to 1000"),
        ({"pieces": "1.5"}, "the number of pieces is '1.5'; write a whole number from 1 to 1000"),
        ({"hem": "x"}, "the hem is 'x'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"picks": "0"}, "the picks: '0' cannot be read; " + MEASURE),
        ({"picks": "8/ell"}, "the picks: '8/ell' cannot be read; " + MEASURE),
        ({"draw_in": "95"}, "the draw-in is '95'; write per cent, from 0 to 90"),
        ({"put_up": "250"}, "the skein or cone is '250'; write its weight or its length, for instance " + SOLD),
        ({"put_up": "g"}, "the skein or cone is 'g'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"weft": "8/2"}, "the count '8/2' cannot be read; "
         "write for instance 16/2 Ne, 28/2 Nm, 40 tex, 8400 m/kg or 4200 yd/lb"),
        ({"width": "90km"}, "the width of cloth is '90km'; write a length, for instance 18.4cm or 7 1/4in"),
        ({"width": "9000m"}, "a cloth so wide takes more than 100,000 ends; look for a number wrong"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_in_one_line(told: dict[str, str], said: str) -> None:
    with pytest.raises((PlanError, SequenceError)) as caught:
        without_file(20, {"width": "20in", "cloth": "1yd", **told})
    assert str(caught.value) == said


def test_a_group_that_is_not_there_and_a_width_that_is_not_known() -> None:
    with pytest.raises(PlanError, match="there is no group 'strip'; the groups are: edge, stripe, group"):
        plan(read(STRIPES), wishes("inch", width="20in"), repeated="strip")
    with pytest.raises(PlanError, match="the width is not known: write sett, or reed and sley, in the file"):
        plan(read(STRIPES.replace("sett: 20\n", "")), wishes("inch", width="20in"))


def test_a_label_in_doubt_is_told_of_the_weft_too() -> None:
    told = without_file(20, {"width": "20in", "cloth": "1yd", "weft": "2/3 Nm"}, "12/15 Ne")
    assert [caution.places["label"] for caution in told.advice if caution.phrase == "label in doubt"] == [
        *("12/15 Ne", "2/3 Nm"),
    ]
    assert [yarn.as_json()["or_else"] for yarn in cloth(told).yarns] == ["15 Ne x 12", "2 Nm x 3"]


def test_without_a_count_the_metres_alone_are_told() -> None:
    [yarn] = cloth(without_file(20, {"width": "10in", "cloth": "1yd", "put_up": "100g"} | LOSSLESS)).yarns
    assert (yarn.name, yarn.grams, yarn.put_ups) == ("", None, None)
    assert yarn.warp == pytest.approx(200 * (36 + 27) * METRES["inch"])
