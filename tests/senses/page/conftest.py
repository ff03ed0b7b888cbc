"""A page that is served, and a browser to look at it with."""

import ssl
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
from at_the_page import CALLING, ENGLISH, WELL, Answers, Shared
from numpy.typing import NDArray

from assistant.senses.mouth.player import Nowhere
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.page import door
from assistant.senses.page.page import Page


@pytest.fixture
def answers() -> Answers:
    return Answers()


class NobodyHears:
    """An ear for pages to listen by."""

    by_page = False

    def bring(self, block: NDArray[np.int16]) -> None:
        pass


@pytest.fixture(scope="session")
def speaker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Speaker]:
    """A mouth that may sound at pages."""
    with closing(Speaker(Nowhere(), "en-us", folder=tmp_path_factory.mktemp("clips"))) as speaker:
        yield speaker


@pytest.fixture
def page(answers: Answers) -> Iterator[Page]:
    """On this machine only, nothing shown yet."""
    served = Page(ENGLISH)
    served.start(answers, {})
    yield served
    served.close()


@pytest.fixture
def shared(answers: Answers, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Shared]:
    """In a network that is this machine, by an address which is not the one that every machine has of itself."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    monkeypatch.setattr(door, "own_address", lambda: "127.0.0.2")
    page = Page(ENGLISH, share=True)
    page.start(answers, {})
    page.show(CALLING, WELL)
    assert page.secure
    trust = ssl.create_default_context(cadata=page.entrance.authority)
    assert len(trust.get_ca_certs()) == 1
    yield Shared(page, page.secure, trust, tmp_path / "share")
    page.close()


@pytest.fixture
def sounding(page: Page, speaker: Speaker) -> Page:
    """One that may speak and listen."""
    page.sound(speaker, lambda became: None)
    page.listen(NobodyHears(), lambda became: None)
    return page
