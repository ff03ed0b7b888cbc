"""Where the weaver says who speaks and who listens: it has room on every screen, and is offered where it may be."""

from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from at_the_page import CALLING, WELL, Answers
from in_a_browser import CUT_OFF, LOOKS, ON_ITS_SIDE, PHONE, PLACES, SMALLEST, TABLET, TOO_SMALL, at_rest, opened, shows

from assistant.senses.mouth.speaker import Speaker
from assistant.senses.page.page import Page
from assistant.words.language import codes, load

OUTSIDE = """() => [...document.querySelectorAll("#sound button")].map((node) => {
  node.scrollIntoView();
  return [node.id, node.getBoundingClientRect()];
}).filter(([, box]) => box.width
  && (box.left < 0 || box.right > innerWidth || box.top < 0 || box.bottom > innerHeight))"""
INSECURE = "Object.defineProperty(window, 'isSecureContext', { get: () => false })"


# Every language where there is least room; elsewhere one with long words.
@pytest.mark.parametrize(
    ("code", "size"),
    [*((code, SMALLEST) for code in codes()), *(("de", size) for size in (PHONE, ON_ITS_SIDE, TABLET))],
)
def test_every_language_has_room(
    chromium: Any, code: str, size: tuple[int, int], speaker: Speaker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    page = Page(load(code))
    page.sound(speaker, lambda became: None)
    page.start(Answers(), {})
    page.show(CALLING, WELL)
    with closing(page), opened(chromium, page.door.address, size) as window:
        shows(window, "1", "2", "3", "4")
        at_rest(window)
        assert (window.evaluate(PLACES), window.evaluate(TOO_SMALL)) == ([], [])
        window.locator("#ask-sound").click()
        for sounds in (False, True):
            if sounds:
                window.locator("#speak-here").click()
                window.locator("#speak-there").wait_for()
            assert window.evaluate(OUTSIDE) == []
            assert (window.evaluate(TOO_SMALL), window.evaluate(CUT_OFF)) == ([], [])


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_nothing(chromium: Any, sounding: Page, look: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    sounding.show(CALLING, WELL)
    with opened(chromium, sounding.door.address, PHONE, **LOOKS[look]) as window:
        shows(window, "1", "2", "3", "4")
        window.locator("#ask-sound").click()
        window.locator("#listen-here").wait_for()
        assert axe.Axe().run(window).violations_count == 0
        window.locator("#speak-here").click()
        window.locator("#speak-there").wait_for()
        assert axe.Axe().run(window).violations_count == 0


def test_where_a_browser_gives_no_microphone_it_says_why_and_how(chromium: Any, sounding: Page) -> None:
    sounding.show(CALLING, WELL)
    with opened(chromium, sounding.door.address) as window:
        window.add_init_script(INSECURE)
        window.reload()
        shows(window, "1", "2", "3", "4")
        window.locator("#ask-sound").click()
        window.get_by_text("open the one that begins with https").wait_for()
        assert not window.locator("#listen-here").is_visible()
        assert window.locator("#speak-here").is_visible()


def test_without_a_voice_and_an_ear_nothing_is_offered(chromium: Any, page: Page) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        assert not window.locator("#ask-sound").is_visible()
