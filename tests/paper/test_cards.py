"""Cards for the loom bench."""

import re
import sys
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2
import pytest

from assistant.errors import CardError, OutfileError
from assistant.paper import CARDS
from assistant.paper.cards import cards
from assistant.paper.writing import card_file, write_cards
from assistant.warp.examples import examples
from assistant.warp.plan import Plan, plan
from assistant.warp.sequence import load, loads


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.in_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.in_style = tag == "style"

    def handle_data(self, data: str) -> None:
        if not self.in_style:
            self.words += data.split()


def words(html: str) -> str:
    """What a reader of the page sees, words parted by single spaces."""
    reader = _Words()
    reader.feed(html)
    return " ".join(reader.words)


def example(name: str) -> Plan:
    """The plan of an example."""
    return plan(load(examples()[name]))


def pages(pdf: Path) -> list[str]:
    """The text of every page."""
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


def test_heddles_to_count_out_by_group_and_shaft() -> None:
    card = words(cards(example("hearth-runner"), ["heddles"]))
    assert "shaft needed on the loom then 1 66 220 spare: 77 left, 77 right" in card
    assert (
        "right edge 6 ends 1 3 2 3 stripe 1 to 10 24 ends each 1 6 2 6 3 6 4 6 1 2 3 4 5 6 7 8 9 10 left edge" in card
    )


def test_missing_heddles_stand_out() -> None:
    warp = loads(b"shafts: 2\nheddles: {1: 2}\ngroups: [{name: bout, thread: 1 2, times: 4}]", "f.yaml")
    card = words(cards(plan(warp), ["heddles"]))
    assert "1 4 2 2 missing: tie in from bout 3" in card
    assert "2 4 – not counted" in card


def test_the_call_sheet_counts_the_group_and_the_whole() -> None:
    card = words(cards(example("hearth-runner"), ["thread"]))
    assert "right edge 6 ends · 6 in all 4 1 2 1 2 6 1 2 stripe 1 to 10 24 ends each 4 1 2 3 4 8 1 4 3 2 12" in card
    assert "24 1 4 3 2 1: 30 2: 54" in card
    assert card.endswith("left edge 6 ends · 252 in all as right edge")


def test_calls_on_paper_may_be_longer() -> None:
    card = words(cards(example("hearth-runner"), ["thread"], per_call=8))
    assert "24 ends each 8 1 2 3 4 1 4 3 2 16 1 2 3 4 1 4 3 2 24 1" in card


def test_a_yarn_stands_where_it_changes() -> None:
    card = words(cards(example("lakeside-scarf"), ["thread"]))
    assert "slate: slate wool · mist: mist wool · rust: rust silk" in card
    assert "right shore 1 to 3 28 ends each 4 slate 1 2 3 4 8 mist 1 2 rust 3 slate 4" in card


def test_the_sley_plan() -> None:
    warp = loads(b"shafts: 2\nsett: 25\nreed: 10\nreed_width: 10\ngroups: [{thread: 5(1 2) 1, times: 3}]", "f.yaml")
    card = words(cards(plan(warp), ["sley"]))
    assert "2-3 reed of 10 an inch · 14 dents · 1.4 inches wide" in card
    assert "first end in dent 44 of 100, counted from the right first end 0.7 inches to the right of the centre" in card
    assert "group 1 to 3: 11 ends each 1: 5 * 2: 9 3: 14" in card  # end 12 goes in dent 5 with end 11
    assert "1 inch 10 25 ends" in card


def test_a_sley_of_a_group_and_a_sett_that_is_missed_stand_on_the_card() -> None:
    groups = "groups: [{name: a, thread: 30(1)}, {name: b, thread: 8(2), sley: [4]}]"
    text = words(cards(plan(loads(f"{{shafts: 4, sett: 21.6, reed: 10, {groups}}}".encode(), "f.yaml")), jobs=["sley"]))
    assert "b: 4 in each dent" in text
    assert "the nearest gives 21.67, off by 0.07" in text
    assert "told of" not in text


def test_without_a_reed_there_is_no_sley_card() -> None:
    bare = plan(loads(b"shafts: 2\ngroups: [{thread: 1 2}]", "f.yaml"))
    assert "Sley plan" not in words(cards(bare))
    with pytest.raises(CardError, match="there is no sley plan for a card"):
        cards(bare, ["sley"])
    with pytest.raises(CardError, match="there is no card for weave; there are cards for heddles, thread, sley"):
        cards(bare, ["weave"])


def test_what_the_weaver_wrote_is_never_markup() -> None:
    text = "title: <script>x</script>\nshafts: 2\ngroups: [{name: '<b>&amp;', thread: 1 2}]"
    html = cards(plan(loads(text.encode(), "f.yaml")))
    assert "<script" not in html
    assert "<b>&amp;" in words(html)


def test_cards_are_black_and_white_and_fetch_nothing() -> None:
    html = cards(example("lakeside-scarf"))
    assert not re.search(r"https?:|url\(|src=|href=|#[0-9a-fA-F]{3,6}\b|rgb", html)
    assert set(re.findall(r"(?:color|background|solid)[: ]+(\w+)", html)) == {"black", "white"}


@pytest.mark.parametrize("name", ["hearth-runner", "winter-blanket"])
def test_one_page_a_job(name: str, tmp_path: Path) -> None:
    """PDF and HTML come from one source: the same words, on a page for each job."""
    told, file = example(name), tmp_path / "cards.pdf"
    try:
        write_cards(cards(told), card_file(file))
    except CardError as missing:
        if not str(missing).startswith("a PDF needs"):
            raise
        pytest.skip(str(missing))
    printed = pages(file)
    assert len(printed) == len(CARDS) == 3
    for page, head in zip(printed, ("Heddles to count out", "Call sheet", "Sley plan"), strict=True):
        assert head in page
        assert told.groups[0].name in page
        assert told.groups[-1].name in page


def test_html_is_written_as_it_is(tmp_path: Path) -> None:
    html = cards(example("first-evening"))
    write_cards(html, card_file(tmp_path / "out.HTML"))
    assert (tmp_path / "out.HTML").read_text(encoding="utf-8") == html


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(CardError, match=r"a card is HTML or PDF; end the name in \.html or \.pdf"):
        write_cards("", card_file(tmp_path / "card.doc"))
    with pytest.raises(OutfileError, match="there is no folder"):
        write_cards("", card_file(tmp_path / "missing" / "card.html"))
    assert not list(tmp_path.iterdir())


def test_without_the_library_for_pdf_a_way_round_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(CardError, match=r"pip install 'heddlecall\[cards\]'; or write the card to OUT"):
        write_cards("<p>", card_file(tmp_path / "card.pdf"))


def test_without_what_that_library_needs_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """WeasyPrint lets out an OSError when it is imported on a machine without Pango."""
    (tmp_path / "weasyprint.py").write_text("raise OSError('cannot load library')")
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(CardError, match="apt install libpango"):
        write_cards("<p>", card_file(tmp_path / "card.pdf"))


def test_more_ends_than_paper_can_bear() -> None:
    warp = loads(b"shafts: 2\ngroups: [{thread: 20000(1 2)}]", "f.yaml")
    with pytest.raises(CardError, match="40,000 ends are too many for a card"):
        cards(plan(warp))
