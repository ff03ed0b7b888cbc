"""What holds for all tests."""

import shutil
import signal
from collections.abc import Callable, Iterator
from functools import cache

import numpy as np
import pytest
from hypothesis import settings
from numpy.typing import NDArray

from assistant.rehearsal import weaver_voice
from assistant.rehearsal.weaver_voice import WeaverVoice

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")

signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored by a shell's background job, and by its children
if hasattr(signal, "SIGHUP"):
    signal.signal(signal.SIGHUP, signal.SIG_DFL)  # ignored under nohup


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Three for the whole suite, half of which waits for real sound; what is asked for by name runs in this process."""
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and not config.option.keyword
    return 3 if whole else 0


class Remembering:
    """A voice that says a second time what it said the first."""

    def __init__(self, voice: WeaverVoice) -> None:
        self._voice = voice
        self.say = cache(self._spoken)

    def _spoken(self, text: str, take: int = 0) -> NDArray[np.int16]:
        samples = self._voice.say(text, take)
        samples.flags.writeable = False
        return samples


@pytest.fixture(scope="session", autouse=True)
def opened_once() -> Iterator[None]:
    """What takes long to open, the neural voices, is opened once for all tests."""

    def once(opened: Callable[[], WeaverVoice]) -> Callable[[], WeaverVoice]:
        return cache(lambda: Remembering(opened()))

    with pytest.MonkeyPatch.context() as patch:
        for name, opened in weaver_voice.NEURAL.items():
            patch.setitem(weaver_voice.NEURAL, name, once(opened))
        yield


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
