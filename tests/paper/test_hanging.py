"""The warp as it hangs."""

import re
from itertools import pairwise

import pytest

from assistant.paper import charts
from assistant.paper.hanging import LOWER, UNTOLD, Paint, Run, from_the_left, looks, runs, spans
from assistant.senses.screen.dyes import dyes
from assistant.warp.model import Warp
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.phrases import Phrases

SAY = Phrases.read(load("en"), "paper").text


def warp(start: str, yarns: str = '{a: {colour: "#ff0000"}, b: {colour: "#0000ff"}}') -> Warp:
    """Three ends of a, then two of b, then one of a."""
    text = f"shafts: 2\nstart: {start}\nyarns: {yarns}\ngroups:\n"
    return loads(
        f"{text}- {{name: one, thread: 1 2 1, yarn: a}}\n- {{name: two, thread: 2 1 2, yarn: '2 b, 1 a'}}".encode(),
        "f.yaml",
    )


def drawn(svg: str, colour: str) -> list[tuple[float, float]]:
    """Where the shapes of a colour begin, and how wide they are."""
    (shape,) = re.findall(rf'<path d="([^"]*)" fill="{colour}"', svg)
    return [(float(x), float(wide)) for x, wide in re.findall(r"M([\d.]+) [\d.]+h([\d.]+)", shape)]


def test_right_on_the_right_wherever_the_first_end_lies() -> None:
    one_end = charts.WIDTH / 6
    svg = charts.warp(warp("right"), {}, SAY)
    assert drawn(svg, "#0000ff") == [pytest.approx((one_end, 2 * one_end), abs=0.01)]
    assert [x for x, _ in drawn(svg, "#ff0000")] == pytest.approx([0, 3 * one_end], abs=0.01)
    svg = charts.warp(warp("left"), {}, SAY)
    assert drawn(svg, "#0000ff") == [pytest.approx((3 * one_end, 2 * one_end), abs=0.01)]


def test_no_end_is_left_out() -> None:
    yarns = b"yarns: {a: {colour: '#ff0000'}, b: {colour: '#0000ff'}}"
    many = loads(b"shafts: 2\n%b\ngroups: [{thread: 1000(1 2), yarn: 'a, b'}]" % yarns, "f.yaml")
    svg = charts.warp(many, {}, SAY)
    assert len(drawn(svg, "#ff0000")) == len(drawn(svg, "#0000ff")) == 1000
    assert sum(wide for _, wide in drawn(svg, "#ff0000")) == pytest.approx(charts.WIDTH / 2, rel=0.01)


def test_groups_from_the_left() -> None:
    assert spans(warp("left")) == {"one": (0, 3), "two": (3, 6)}
    assert spans(warp("right")) == {"one": (3, 6), "two": (0, 3)}
    lying = from_the_left(warp("right"), warp("right").every_end())
    assert runs(lying) == [Run("a", 0, 1), Run("b", 1, 2), Run("a", 3, 3)]


def test_yarns_that_look_alike_or_have_no_colour_are_told_apart() -> None:
    alike = looks(warp("right", '{a: {colour: "#102030"}, b: {colour: "#182838"}}'))
    assert alike == {"a": Paint("#102030"), "b": Paint("#182838", 0.8)}
    assert looks(warp("right", "{a: {}, b: {}}")) == {"a": Paint(UNTOLD), "b": Paint(UNTOLD, 0.8)}


def test_what_has_a_pattern_on_a_screen_has_less_height_on_paper_and_nothing_else_has() -> None:
    colours = ("#a4532c", "#a8502f", "#b7c4c9", "#f0efe6", "#9c5a30")
    yarns = ", ".join(f'y{n}: {{colour: "{colour}"}}' for n, colour in enumerate(colours))
    groups = "[{thread: 5(1), yarn: 'y4, y3, y2, y1, y0'}]"
    lying = loads(f"{{shafts: 1, yarns: {{{yarns}}}, groups: {groups}}}".encode(), "f.yaml")
    paints, told = looks(lying), dyes(lying.yarns.values())
    assert {key: round((1 - paint.high) / LOWER) for key, paint in paints.items()} == {
        key: dye.pattern for key, dye in told.items()
    }
    assert sorted(paint.high for paint in paints.values())[0] == pytest.approx(0.6)


def test_numbers_stand_under_their_groups_and_not_over_each_other() -> None:
    groups = ", ".join(f"{{name: g{n}, thread: 1 2}}" for n in range(200))
    many = loads(f"shafts: 2\ngroups: [{groups}]".encode(), "f.yaml")
    svg = charts.warp(many, {f"g{n}": [n + 1] for n in range(40)}, SAY)
    found = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" font-size="11"[^>]*>(\d+)<', svg)
    assert sorted(int(text) for _, _, text in found) == list(range(1, 41))
    boxes = sorted((float(y), float(x), len(text) * 7.0) for x, y, text in found)  # a digit of DejaVu Sans is 0.636 em
    for (row, x, wide), (next_row, next_x, next_wide) in pairwise(boxes):
        assert row != next_row or next_x - x >= (wide + next_wide) / 2
    high = re.search(r'height="([\d.]+)"', svg)
    assert high
    assert max(row for row, _, _ in boxes) < float(high[1])
