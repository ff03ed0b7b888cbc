"""Cards and report as they are printed: measured on the PDF."""

import random
import re
from collections.abc import Callable, Iterator
from html import unescape
from itertools import groupby, pairwise

import pytest
from evenings import Evening, eventful
from measured import MM, Letter, Page, printed

from assistant.paper import CARDS
from assistant.paper.cards import LEAST, cards
from assistant.paper.report import report
from assistant.paper.sizes import A4, LETTER, Paper
from assistant.warp.examples import examples
from assistant.warp.plan import Plan, plan
from assistant.warp.sequence import load, loads
from assistant.warp.turned import as_called
from assistant.words.language import codes
from assistant.words.language import load as language
from assistant.words.phrases import Phrases

# ISO 216:2007 (A4); ANSI/ASME Y14.1 (size A, "letter"), in inches of 25.4 mm.
SHEETS = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4)}
DIGIT_HIGH = 0.729  # of the size, in DejaVu Sans (capHeight in its OS/2 table, 1493 of 2048 units)
FOOT_MM = 13.0


def unlike(ends: int, shafts: int, several: float = 0.0) -> Plan:
    """A warp in which no call is like another, in groups of fifty ends; some ends hang on two shafts."""
    chance = random.Random(21)

    def end() -> str:
        if chance.random() < several:
            return f"{chance.randint(1, shafts // 2)}/{chance.randint(shafts // 2 + 1, shafts)}"
        return str(chance.randint(1, shafts))

    groups = "".join(
        f"- {{name: panel {n}, thread: {' '.join(end() for _ in range(50))}, yarn: {chance.choice('ab')}}}\n"
        for n in range(1, ends // 50 + 1)
    )
    text = (
        f"title: Unlike\nunit: cm\nsett: 80\nreed: 40\nshafts: {shafts}\nyarns: {{a: {{}}, b: {{}}}}\ngroups:\n{groups}"
    )
    return plan(loads(text.encode(), "unlike.yaml"))


def example(name: str) -> Plan:
    return plan(as_called(load(examples()[name])))


def predicted(html: str) -> tuple[float, int]:
    """The size of the figures in points, and the columns."""
    size = re.search(r'class="work[^"]*" style="font-size: ([\d.]+)pt', html)
    columns = re.search(r"columns: (\d)", html)
    assert size
    return float(size[1]), int(columns[1]) if columns else 1


def in_foot(page: Page) -> str:
    """The name of the card, as it stands below."""
    return page.text.splitlines()[-1].rpartition(" /")[0].rpartition(" ")[0]


def low(page: Page) -> float:
    """How far down the page anything but its foot stands."""
    return max(letter.bottom for letter in page.ink() if letter.bottom < page.height - FOOT_MM * MM)


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_the_sizes_of_the_sheets(paper: Paper) -> None:
    told = eventful().told()
    for html in (cards(example("first-evening"), paper=paper), report([told], "runner.yaml", paper=paper)):
        for page in printed(html):
            assert (page.width / MM, page.height / MM) == pytest.approx(SHEETS[paper.name], abs=0.1)


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
@pytest.mark.parametrize("name", examples())
def test_figures_fill_a_page_and_no_more(name: str, paper: Paper) -> None:
    html = cards(example(name), paper=paper)
    pages = [list(those) for _, those in groupby(printed(html), in_foot)]
    for job, card, of_card in zip(CARDS, html.split("<article")[1:], pages, strict=True):
        size, _ = predicted(card)
        assert size >= LEAST[job]
        for page in of_card:
            assert max(letter.high for letter in page.digits()) >= 0.95 * DIGIT_HIGH * size
            assert low(page) > 0.7 * page.height or page is of_card[-1] is not of_card[0]


@pytest.mark.parametrize(("ends", "shafts", "several"), [(300, 4, 0), (300, 24, 0.4), (1200, 4, 0), (1200, 24, 0.4)])
def test_long_warps_are_cut_where_they_may_be(ends: int, shafts: int, several: float) -> None:
    """No heading stands alone, and each column begins with the heading of the group that goes on in it."""
    warp = unlike(ends, shafts, several)
    html = cards(warp, ["thread"])
    size, columns = predicted(html)
    met, least_high = set(), 0.9 * DIGIT_HIGH * size
    for page in printed(html):
        found = list(re.finditer(r"panel (\d+) 50", page.text))
        met |= {heading[1] for heading in found}
        headings = [page.letters[heading.start()] for heading in found]
        begins = min(heading.top for heading in headings)
        wide = (page.width - 24 * MM) / columns
        for column in range(columns):
            inside = [
                letter
                for letter in page.ink()
                if column == (letter.left - 12 * MM) // wide
                and begins - size / 2 < letter.top < page.height - FOOT_MM * MM
            ]
            tops = [heading.top for heading in headings if heading in inside]
            assert bool(tops) == bool(inside)
            figures = [letter.top for letter in inside if letter.text.isdecimal() and letter.high > least_high]
            for top, following in pairwise([*tops, page.height]):
                assert any(top < figure < following for figure in figures)
            assert not tops or min(tops) < min(figures)
    assert met == {str(n) for n in range(1, len(warp.warp.groups) + 1)}


def documents() -> Iterator[str]:
    yield cards(unlike(2000, 24, 0.4), ["heddles", "sley"])
    for code in codes():
        yield cards(unlike(100, 4), paper=LETTER, language=language(code))
        yield report([eventful().told(), Evening(job="wind").told()], "runner.yaml", language(code))


def test_nothing_is_cut_off() -> None:
    for page in (page for html in documents() for page in printed(html)):
        for letter in page.ink():
            assert 10 * MM < letter.left < letter.right < page.width - 10 * MM
            assert 8 * MM < letter.top < letter.bottom < page.height - 5 * MM


def seen(html: str) -> str:
    """What is read of a document beside its charts, whose texts stand alone."""
    return unescape(re.sub(r"<(style|title|svg).*?</\1>|<[^>]*>", "", html, flags=re.DOTALL))


@pytest.mark.parametrize("code", [code for code in codes() if code != "ko"])  # which writes no space there
def test_numbers_stay_with_their_units(code: str) -> None:
    words = language(code)
    phrases = Phrases.read(words, "paper")
    units = {
        phrases.text(key, count=7, number=7).partition(" ")[2] for key in ("ends", "dents", "inches", "centimetres")
    }
    counted = re.compile(rf"\d[ \u00a0\r\n]+(?:{'|'.join(units)})\b")
    for html in (
        cards(example("winter-blanket"), language=words),
        cards(example("lattice-curtain"), language=words, paper=LETTER),
        report([eventful().told()], "runner.yaml", words),
    ):
        written = counted.findall(seen(html))
        assert written
        assert all("\u00a0" in each for each in written)
        found = [each for page in printed(html) for each in counted.findall(page.text)]
        assert len(found) >= len(written)
        assert not [each for each in found if "\n" in each]


def test_shafts_of_one_end_stand_in_one_box_and_a_line_has_its_own_to_tick() -> None:
    warp = plan(loads(b"shafts: 24\ngroups: [{name: one, thread: 1/13 2 3 4/7/9 5}]", "f.yaml"))
    html = cards(warp, ["thread"])
    assert re.findall(r'class="together">([^<]*)<', html) == ["1/13", "4/7/9"]
    (page,) = printed(html)
    place = page.text.index("4/7/9")
    feet = [letter.bottom for letter in page.letters[place : place + 5] if letter.text.isdecimal()]
    assert max(feet) - min(feet) < 2
    assert html.count('class="box"') == 2  # of both calls


def test_how_many_heddles_stands_nearer_to_its_own_shaft_than_to_the_next() -> None:
    html = cards(unlike(300, 24, 0.4), ["heddles"])
    size, _ = predicted(html)
    own, other = [], []
    for page in printed(html)[1:]:
        figures = [digit for digit in page.digits() if not 0.6 < digit.high / (DIGIT_HIGH * size) < 0.9]
        rows = groupby(sorted(figures, key=lambda digit: (round(digit.bottom / size), digit.left)), _row(size))
        for one, following in (pair for _, row in rows for pair in pairwise(row)):
            gap = following.left - one.right
            if one.high < 0.8 * following.high:
                own.append(gap)
            elif following.high < 0.8 * one.high:
                other.append(gap)
    assert min(len(own), len(other)) > 20
    assert 1.5 * max(own) < min(other)


def _row(size: float) -> Callable[[Letter], int]:
    return lambda digit: round(digit.bottom / size)


def test_the_report_begins_with_the_warp_and_what_was_off_then_charts_then_the_table() -> None:
    pages = printed(report([eventful().told()], "runner.yaml"))
    text = "\n".join(page.text for page in pages)
    order = [
        "The warp as it hangs",
        "Mistakes, and where",
        "Sittings and breaks",
        "Pace: seconds an end",
        "Went through",
    ]
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    assert "Mistakes, and where" in pages[0].text


def test_equal_rows_of_the_table_stand_together() -> None:
    text = "title: Many\nshafts: 2\ngroups: [{name: edge, thread: 1 2}, {name: rose, thread: 4(1 2), times: 9}]"
    evening = Evening(text)("next", "next", "next", "next", "short", 2)("settle", by="key").to_the_end()
    page = re.sub(r"\s+", " ", "\n".join(page.text for page in printed(report([evening.told()], "f.yaml"))))
    assert re.search(r"edge 2 2 even", page)
    assert re.search(r"rose 1 8 \d settled", page)
    assert re.search(r"rose 2\u00a0?\s?to 9 8 8 even", page)
    assert "rose 3 " not in page
