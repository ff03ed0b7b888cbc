"""The record on paper and in a spreadsheet."""

import csv
import io
import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest
from evenings import RUNNER, Evening, eventful
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.paper.report import report
from assistant.paper.table import COLUMNS, table

EVIL = '<script>document.title="run"</script><img src=x onerror=\'document.title="run"\'>'
DRAWN = {"svg", "rect", "path", "text"}
FETCHING = {"script", "img", "link", "iframe", "object", "embed", "image", "use", "form", "base"}


class Page(HTMLParser):
    """The tags of a page, and its words."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.words = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.words += data


def evil() -> Evening:
    """An evening in which every text a weaver may write is a script."""
    quoted = EVIL.replace("'", "''")
    text = RUNNER.replace("Test runner", f"'{quoted}'").replace("name: edge", f"name: '{quoted}'")
    return Evening(text).to_the_end()("note", by="written", text=EVIL)


def test_the_page_tells_who_closed_what_and_how_it_came_right() -> None:
    words = re.sub(r"\s+", " ", Page(report([eventful().told()], "runner.yaml")).words)
    assert "rose 1 is off. 10 of 12, 2 ends short. settled" in words
    assert "by voice off" in words
    assert "1 wrong, 1 missed" in words
    assert "An estimate." in words
    assert "=HYPERLINK(1) <b>mind the knot</b>" in words


def test_titles_names_and_notes_are_text_and_nothing_is_fetched_or_run() -> None:
    html = report([evil().told()], EVIL)
    page = Page(html)
    assert not page.tags & FETCHING
    assert not {name for name in page.attributes if name.startswith("on")}
    assert page.words.count(EVIL) >= 4
    assert "default-src 'none'" in html
    assert not page.attributes & {"href", "src", "srcset", "action", "xlink:href"}
    assert not re.search(r"url\(|@import", html)


def test_a_browser_shows_it_and_runs_nothing(tmp_path: Path) -> None:
    chromium = shutil.which("chromium")
    if not chromium:
        pytest.skip("needs chromium")
    page = tmp_path / "record.html"
    page.write_text(report([evil().told()], EVIL), encoding="utf-8")
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path}/c", "--dump-dom"]
    shown = subprocess.run([*command, page.as_uri()], capture_output=True, text=True, check=True).stdout
    title = re.search(r"<title>(.*?)</title>", shown, re.DOTALL)
    assert title is not None
    assert title[1] != "run"
    assert "&lt;script&gt;" in title[1]


def test_charts_stand_where_there_is_something_to_draw() -> None:
    told = eventful().told()
    html = report([told], "runner.yaml")
    assert Page(html).tags >= DRAWN
    of_warp = 2  # as it hangs, and the one yarn of its key
    assert html.count("<svg") == of_warp + 2 + len(told.groups)
    assert report([Evening().told()], "runner.yaml").count("<svg") == of_warp


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_a_row_a_group_and_job() -> None:
    told = rows(table([eventful().told(), Evening(job="check").told()]))
    assert [(row["job"], row["group"], row["state"]) for row in told] == [
        *(("thread", "edge", "even"), ("thread", "rose 1", "settled"), ("thread", "rose 2", "even")),
        *(("check", "edge", "waiting"), ("check", "rose 1", "waiting"), ("check", "rose 2", "waiting")),
    ]
    assert (told[1]["closed_by"], told[1]["steps_back"], told[1]["times_off"]) == ("by key", "1", "1")
    assert (told[0]["begun_anew"], told[1]["notes"]) == ("1", "marked by key")


@settings(max_examples=80)
@given(st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=30))
def test_no_cell_is_a_formula_and_every_text_comes_back(text: str) -> None:
    """What begins a formula: OWASP, CSV Injection (from memory): equals, plus, minus, at, tab, carriage return."""
    evening = Evening()("note", by="written", text=text or "x")
    (row, *_) = rows(table([evening.told()]))
    assert set(row) == set(COLUMNS)
    cell = row["notes"]
    assert cell in (text or "x", f"'{text}")
    assert not cell.lstrip().startswith(("=", "+", "-", "@"))
