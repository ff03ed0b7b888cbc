"""The page tapped twice where once was meant, in a real browser and in every mode, 40 to 350 ms apart.

    python tests/attack/taps.py --tries 2400

Each try brings a session into one of the modes by turns, taps what goes on there, and taps the same place once more.
Every tenth try taps twice and means both, 0.45 s apart, where the same area goes on twice.

What has to hold: of two taps less than 0.4 s apart, by the times that the browser gives them, one step is counted, of
two that were meant both.
"""

import sys
import time
from pathlib import Path
from shutil import which

from frame.trying import CannotBeTried, Tally, Wish, run

sys.path.append(str(Path(__file__).parent.parent))

from at_the_page import CALLING, ENGLISH, WELL, Answers
from in_a_browser import PHONE, opened
from tapping import MEANT_S, ON_AND_ON, WAYS, a_bounce, taps_twice

from assistant.senses.page.page import Page

MEANT_EVERY = 10


def attack(wish: Wish, tally: Tally) -> None:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        raise CannotBeTried("playwright is not installed") from None
    program = which("chromium") or which("chromium-browser")
    if program is None:
        raise CannotBeTried("chromium is not installed; apt install chromium")
    page = Page(ENGLISH)
    page.start(Answers(), {})
    page.show(CALLING, WELL)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        with opened(browser, page.door.address, PHONE) as window:
            for chance in wish.chances(tally):
                meant = tally.tries % MEANT_EVERY == 0
                ways = ON_AND_ON if meant else WAYS
                way, apart = ways[tally.tries % len(ways)], MEANT_S if meant else a_bounce(chance)
                began = time.monotonic()
                tapped = taps_twice(window, page, way, tally.tries, apart)
                tally.took(time.monotonic() - began)
                if not (tapped.counted == tapped.meant if meant else 1 <= tapped.counted <= tapped.meant):
                    tally.found.append(f"try {tally.tries}, {way.mode}: {tapped}")
        browser.close()
    page.close()


if __name__ == "__main__":
    run(__doc__, attack, tries=2400, seconds=240)
