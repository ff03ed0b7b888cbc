"""Cards and report in the weaver's language, and in no other."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from evenings import eventful

from assistant.paper.cards import cards
from assistant.paper.report import report
from assistant.paper.retold import story
from assistant.paper.story import Story
from assistant.session.view import GroupState
from assistant.warp.passes import PASSES
from assistant.warp.plan import plan
from assistant.warp.sequence import loads
from assistant.words.language import Phrase, codes, load

WARP = """
{title: Läufer, shafts: 4, reed: 10, sley: [2, 0, 3], reed_width: 24, heddles: {1: 3, 2: 90},
 yarns: {leinen: {}, seide: {}},
 groups: [{name: Rand, thread: 6(1 2), yarn: leinen}, {name: Streif, thread: 9(3 4), yarn: seide, times: 3}]}
"""
FOREIGN = [code for code in codes() if code != "en"]


class Texts(HTMLParser):
    """What a reader sees of a page, and the language that it says it is in."""

    def __init__(self, html: str):
        super().__init__()
        self.seen, self.language, self._tag = [], "", ""  # type: list[str], str, str
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._tag = tag
        self.language = self.language or dict(attrs).get("lang") or ""
        self.seen += [value for name, value in attrs if name == "aria-label" and value]

    def handle_data(self, data: str) -> None:
        if self._tag != "style" and data.strip():
            self.seen.append(" ".join(data.split()))

    @property
    def all(self) -> str:
        return " ".join(self.seen)


def told(code: str) -> Story:
    evening = eventful()
    return story(evening.record, evening.events, load(code))


def pages(code: str) -> list[str]:
    return [
        cards(plan(loads(WARP.encode(), "test.yaml")), language=load(code)),
        report([told(code)], "läufer.yaml", load(code)),
    ]


def stretches(phrase: Phrase) -> Iterator[str]:
    """What stands between the places of a phrase, where it is more than a sign."""
    for text in phrase.values() if isinstance(phrase, dict) else [phrase]:
        yield from (part.strip() for part in re.split(r"\{\w+\}", text) if re.search(r"\w{3}", part))


@pytest.mark.parametrize("code", codes())
def test_a_page_says_its_language(code: str) -> None:
    assert [Texts(page).language for page in pages(code)] == [code, code]


@pytest.mark.parametrize("code", FOREIGN)
def test_nothing_english_is_left(code: str) -> None:
    ours = " ".join(part for phrase in load(code).paper.values() for part in stretches(phrase)).lower()
    english = {part.lower() for phrase in load("en").paper.values() for part in stretches(phrase)}
    for page in pages(code):
        seen = Texts(page).all.lower()
        assert not [part for part in english if part not in ours and re.search(rf"\b{re.escape(part)}\b", seen)]


def test_every_phrase_of_the_layouts_is_there() -> None:
    """A key that is missing would show as itself."""
    keys = set(load("en").paper)
    shown = {text for page in pages("de") for text in Texts(page).seen}
    assert not shown & keys
    assert all(f"job {job}" in keys for job in PASSES)
    assert GroupState.OFF in load("en").states


def test_a_card_and_a_report_in_german() -> None:
    card, record = (Texts(page).all for page in pages("de"))
    assert "Litzen zum Abzählen" in card
    assert "Streif 1 bis 3" in card
    assert "3 fehlen: ab Rand einknüpfen" in card
    assert "Protokoll der Kette." in record
    assert "mit der Stimme" in record
    assert "edge geht nicht auf" in record
