"""A page listens: words said at its microphone become events, in a real browser whose microphone is a recording."""

import json
import shutil
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from at_the_page import CALLING, SHORT_WARP, WELL, Shared, Sitting, joined
from numpy.typing import NDArray
from waiting import wait
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection

from assistant.rehearsal.weaver_voice import open_voice
from assistant.senses.ear.microphone import Ear
from assistant.senses.page.client import LONGEST_BLOCK
from assistant.senses.page.page import Page
from assistant.senses.page.standing_in import Became
from assistant.senses.sound import EAR_RATE

WORDS = ("position", "where am I", "volume up")
FAKE = ("--use-fake-device-for-media-stream", "--no-sandbox")
ALLOWED = "--use-fake-ui-for-media-stream"
BLOCK = np.arange(480, dtype=np.int16)


@contextmanager
def browsing(*flags: str) -> Iterator[Any]:
    """A window of a browser of its own."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("chromium is not installed; apt install chromium")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*FAKE, *flags])
        window = browser.new_page(viewport={"width": 1024, "height": 768}, ignore_https_errors=True)
        window.set_default_timeout(60_000)
        yield window
        browser.close()


def opened(window: Any, address: str) -> None:
    window.goto(address)
    window.locator(".lines").first.wait_for()
    window.locator("#ask-sound").click()


def listens_here(window: Any, address: str) -> None:
    opened(window, address)
    window.locator("#listen-here").click()
    window.locator("#listen-there").wait_for()
    window.locator("#close-sound").click()


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The words, each with quiet around it, in a small noise; played again and again."""
    voice, chance = open_voice(None, "en-us"), np.random.default_rng(1)
    quiet = np.zeros(2 * EAR_RATE)
    sound = np.concatenate([quiet, *(piece for word in WORDS for piece in (voice.say(word), quiet))])
    file = tmp_path_factory.mktemp("said") / "words.wav"
    soundfile.write(file, np.int16(sound + chance.normal(0, 8, len(sound))), EAR_RATE)
    return file


@pytest.mark.timeout(240)
def test_words_said_at_a_page_are_events(recording: Path, tmp_path: Path) -> None:
    """The computer has no microphone."""
    file = tmp_path / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    env = {"PULSE_SERVER": f"unix:{tmp_path / 'none'}", "PATH": "/usr/bin", "HOME": str(tmp_path)}
    sitting = Sitting(file, tmp_path / "data", bounce=0, senses=("--mute",), env=env)
    try:
        with browsing(ALLOWED, f"--use-file-for-fake-audio-capture={recording}") as window:
            listens_here(window, sitting.address)
            for word in WORDS:
                window.locator("#heard").get_by_text(f"heard: {word}").wait_for()
            window.locator("#ask-sound").click()
            window.locator("#listen-there").click()
            window.get_by_text("does not hear").first.wait_for()
        assert "listens through a page" in sitting.leave()
    finally:
        sitting.kill()


def test_a_microphone_that_is_refused_is_told_in_a_sentence(page: Page, ear: "Mine") -> None:
    page.listen(ear, lambda became: None)
    page.show(CALLING, WELL)
    with browsing("--deny-permission-prompts") as window:
        opened(window, page.door.address)
        window.locator("#listen-here").click()
        window.get_by_text("The microphone was refused").wait_for()
        assert window.locator("#listen-here").is_visible()


def test_a_tablet_listens_by_the_encrypted_address(shared: Shared, ear: "Mine") -> None:
    """The browser's own tone comes through, as sound."""
    shared.page.listen(ear, lambda became: None)
    with browsing(ALLOWED) as window:
        listens_here(window, shared.door.address)
        assert wait(lambda: any(block.max() > 1000 for block in ear.came))


def test_who_only_looks_is_offered_no_sound_and_heard_by_nobody(shared: Shared, ear: "Mine") -> None:
    eye = shared.door.keys[0].eye
    shared.page.listen(ear, lambda became: None)
    with joined(shared.door, key=eye, trust=shared.trust) as looking:
        looking.send(wish(True))
        told: list[str | bytes] = []
        with pytest.raises(ConnectionClosed):
            told += (looking.recv(timeout=20) for _ in range(10))
    assert not any("listen" in str(each) for each in told)
    assert not ear.by_page


class Mine(Ear[None]):
    """An ear that keeps what it is brought."""

    def __init__(self) -> None:
        self.came: list[NDArray[np.int16]] = []
        self.closings: list[bool] = []
        self.speaking = False
        super().__init__(self, lambda: self.speaking)
        self.start(lambda heard: None)

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[None]:
        self.came.append(block)
        self.closings.append(closed)
        return []


@pytest.fixture
def ear() -> Iterator[Mine]:
    with closing(Mine()) as ear:
        yield ear


@pytest.fixture
def became(page: Page, ear: Mine) -> list[Became]:
    told: list[Became] = []
    page.listen(ear, told.append)
    page.show(CALLING, WELL)
    return told


def wish(on: bool, turn: int = 0) -> str:
    return json.dumps({"listen": on, "turn": turn})


def sent_on(browser: ClientConnection, *blocks: bytes) -> None:
    """Send these, then take what is told until the connection ends."""
    for block in blocks:
        browser.send(block)
    while True:
        browser.recv(timeout=20)


def test_one_page_at_a_time_is_heard_and_the_ear_is_closed_while_the_mouth_speaks(
    page: Page, ear: Mine, became: list[Became]
) -> None:
    with joined(page.door) as one, joined(page.door) as other:
        one.send(wish(True))
        assert wait(lambda: ear.by_page)
        one.send(BLOCK.tobytes())
        assert wait(lambda: len(ear.came) == 1)
        assert np.array_equal(ear.came[0], BLOCK)
        other.send(wish(True))
        assert wait(lambda: len(became) == 2)
        one.send(BLOCK.tobytes())  # on its way before it knew
        ear.speaking = True
        other.send((BLOCK + 1).tobytes())
        assert wait(lambda: len(ear.came) == 2)
        assert ear.came[1][0] == 1
        assert ear.closings == [False, True]
        other.send(wish(False, 2))
        assert wait(lambda: not ear.by_page)
    assert became == [Became.HERE, Became.HERE, Became.HOME]


@pytest.mark.parametrize("how", ["closed", "fell silent"])
def test_a_page_that_is_lost_is_listened_to_no_longer(page: Page, ear: Mine, became: list[Became], how: str) -> None:
    with joined(page.door) as one:
        one.send(wish(True))
        assert wait(lambda: ear.by_page)
        if how == "closed":
            one.close()
        assert wait(lambda: not ear.by_page)
    assert became == [Became.HERE, Became.LOST]


def test_a_second_of_sound_that_was_held_up_comes_through_and_no_more(
    page: Page, ear: Mine, became: list[Became]
) -> None:
    with joined(page.door) as one:
        one.send(wish(True))
        assert wait(lambda: ear.by_page)
        for _ in range(34):
            one.send(BLOCK.tobytes())
        assert wait(lambda: len(ear.came) == 34)
        with pytest.raises(ConnectionClosed):
            sent_on(one, *[BLOCK.tobytes()] * 1000)


@pytest.mark.parametrize(
    "sound", [BLOCK.tobytes(), b"", b"odd", bytes(LONGEST_BLOCK + 2)], ids=["unasked", "empty", "odd", "long"]
)
def test_sound_that_nobody_asked_for_or_that_is_none_ends_the_connection(
    page: Page, ear: Mine, became: list[Became], sound: bytes
) -> None:
    with joined(page.door) as one:
        if sound != BLOCK.tobytes():
            one.send(wish(True))
            assert wait(lambda: ear.by_page)
        with pytest.raises(ConnectionClosed):
            sent_on(one, sound)
    assert ear.came == []
