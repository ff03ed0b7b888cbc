"""Words heard through a page, beside the same recording given to the ear directly.

    python tests/bench/page_listens.py --words 40

The commands of English by turns, by a simulated weaver, a quiet of 1.5 s around each, in a small noise; headless
Chromium takes the recording for its microphone, and treats it as the page asks for. Counted are words understood, each
as itself, and what else was understood. Delays are medians, from a word's last loud block until the ear has decided:
directly by the samples; through the page by the clock, from when that block was handed to the web socket.
"""

import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import numpy as np
import soundfile
from at_the_page import CALLING, ENGLISH, WELL, Answers
from numpy.typing import NDArray
from parts.options import asking, count
from playwright.sync_api import sync_playwright

from assistant.rehearsal.weaver_voice import open_voice
from assistant.senses.ear import Heard, Listener
from assistant.senses.ear.microphone import BLOCK_S, Ear
from assistant.senses.ear.opening import open_engine
from assistant.senses.page.page import Page
from assistant.senses.sound import EAR_RATE

QUIET_S = 1.5
LOUD = 400  # of 32,768
BLOCK = round(BLOCK_S * EAR_RATE)
WATCH = """() => {
  window.loud = [];
  const send = WebSocket.prototype.send;
  WebSocket.prototype.send = function (sent) {
    if (sent instanceof ArrayBuffer && new Int16Array(sent).some((sample) => Math.abs(sample) > LOUD)) {
      window.loud.push(performance.timeOrigin + performance.now());
    }
    send.call(this, sent);
  };
}""".replace("LOUD", str(LOUD))
Words = Sequence[tuple[float, str]]  # when each was decided, in seconds


def recording(words: Sequence[str]) -> NDArray[np.int16]:
    voice, chance, quiet = open_voice(None, "en-us"), np.random.default_rng(1), np.zeros(round(QUIET_S * EAR_RATE))
    said = np.concatenate([quiet, quiet, *(each for word in words for each in (voice.say(word), quiet))])
    return np.asarray(said + chance.normal(0, 8, len(said)), np.int16)


def listener() -> Listener:
    return Listener(open_engine(ENGLISH))


def directly(sound: NDArray[np.int16]) -> tuple[Words, Sequence[float]]:
    """What is heard, and when blocks were loud."""
    ear = listener()
    blocks = [sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK)]
    heard = [(each.decided_s, each.word) for block in blocks for each in ear.listen(block, False)]
    return heard, [(at + 1) * BLOCK_S for at, block in enumerate(blocks) if np.abs(block.astype(int)).max() > LOUD]


def through_a_page(sound: NDArray[np.int16]) -> tuple[Words, Sequence[float]]:
    heard: list[tuple[float, str]] = []

    def hear(each: Heard) -> None:
        heard.append((time.time(), each.word))

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder, "said.wav")
        soundfile.write(file, sound, EAR_RATE)
        flags = ("--no-sandbox", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=[*flags, f"--use-file-for-fake-audio-capture={file}%noloop"],
        )
        page = Page(ENGLISH)
        with closing(page), closing(Ear(listener(), lambda: False)) as ear:
            ear.start(hear)
            page.listen(ear, lambda became: None)
            page.start(Answers(), {})
            page.show(CALLING, WELL)
            window = browser.new_page()
            window.goto(page.door.address)
            window.locator(".lines").first.wait_for()
            window.evaluate(WATCH)
            window.click("#ask-sound")
            window.click("#listen-here")
            window.wait_for_timeout(1000 * len(sound) / EAR_RATE + 3000)
            loud = [at / 1000 for at in window.evaluate("loud")]
        browser.close()
    return heard, loud


def report(name: str, words: Sequence[str], told: tuple[Words, Sequence[float]]) -> None:
    heard, loud = told
    left, right = list(words), 0
    for _, word in heard:
        if word in left:
            left.remove(word)
            right += 1
    delays = [at - max(each for each in loud if each <= at) for at, word in heard if word and loud and loud[0] <= at]
    median = f"{1000 * statistics.median(delays):.0f} ms" if delays else "none"
    others = sum(bool(word) for _, word in heard) - right
    print(f"{name}: {right} of {len(words)} words, {others} others; decided after {median}")


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--words", type=count, default=40, help="how many are said (%(default)s)")
    said = parser.parse_args().words
    if shutil.which("chromium") is None:
        parser.error("chromium is not installed; apt install chromium")
    commands = [word for words in ENGLISH.commands.values() for word in words]
    words = [commands[number % len(commands)] for number in range(said)]
    sound = recording(words)
    report("directly", words, directly(sound))
    report("through a page", words, through_a_page(sound))


if __name__ == "__main__":
    main()
