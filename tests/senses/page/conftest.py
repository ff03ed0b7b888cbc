"""A page that is served, and a browser to look at it with."""

import shutil
from collections.abc import Iterator

import pytest
from at_the_page import ENGLISH, Answers

from assistant.senses.page.page import Page


@pytest.fixture
def answers() -> Answers:
    return Answers()


@pytest.fixture
def page(answers: Answers) -> Iterator[Page]:
    """On this machine only, nothing shown yet."""
    served = Page(ENGLISH)
    served.start(answers, {})
    yield served
    served.close()


@pytest.fixture(scope="module")  # the driver keeps an event loop running, which other tests must not meet
def chromium() -> Iterator[object]:
    """A headless browser; skips where it, or what drives it, is not there."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("chromium is not installed; apt install chromium")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()
