"""A weaver who taps a page twice where she meant once: a session behind a page, in each of its modes."""

import random
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from at_the_page import ENGLISH, SHORT_WARP
from memory import Memory
from waiting import wait

from assistant.senses.mouth import SilentMouth
from assistant.senses.page.page import Page
from assistant.senses.pedal import BOUNCE_S
from assistant.senses.screen import Together
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName
from assistant.sitting.loop import Loop
from assistant.warp.sequence import loads
from assistant.words.wording import Wording

SOONEST_S, LATEST_S = 0.04, 0.35  # between the two taps of a bounce
MEANT_S = 0.45  # between two that are both meant

NEXT, SHORT = Kind.NEXT, Kind.SHORT


class Way(NamedTuple):
    """Into a mode, and what is tapped there."""

    mode: ModeName
    keys: tuple[Kind | tuple[Kind, int], ...]
    area: str


WAYS = (
    Way(ModeName.CALLING, (), "#large [data-do=next]"),
    Way(ModeName.CLOSING, (NEXT,), "#apart"),
    Way(ModeName.WHICH, (NEXT, Kind.UNEVEN), "#small [data-do=short]"),
    Way(ModeName.COUNTING, (NEXT, SHORT), "[data-do=back]"),
    Way(ModeName.LAST_CALL, (Kind.FINISHED,), "[data-do=back]"),
    Way(ModeName.OFF, (NEXT, (SHORT, 1)), "#apart"),
    Way(ModeName.ASKING, (NEXT, (SHORT, 1), Kind.FIND), "#small [data-do=unsure]"),
    Way(ModeName.SURE, (NEXT, (SHORT, 1), Kind.REDO), "#apart"),
    Way(ModeName.GOING, (Kind.GO_TO,), "[data-do=back]"),
    Way(ModeName.THERE, ((Kind.GO_TO, 2),), "#large [data-do=next]"),
    Way(ModeName.PAUSED, (Kind.PAUSE,), "#large [data-do=next]"),
    Way(ModeName.COMPLETE, (NEXT,) * 5, "[data-do=back]"),
)
ON_AND_ON = (  # where the same area goes on twice
    Way(ModeName.CALLING, (NEXT, NEXT), "#large [data-do=next]"),
    Way(ModeName.THERE, ((Kind.GO_TO, 2),), "#large [data-do=next]"),
)


TIMES = """() => {
  window.tapped = [];
  window.onpointerup = (event) => window.tapped.push(event.timeStamp);
}"""


@contextmanager
def at_the_loom(page: Page, way: Way, trial: int) -> Iterator[Session]:
    """A session in this mode, which the page shows; later trials stand at later steps, as in one sitting."""
    session = Session(loads(SHORT_WARP.encode(), "short.yaml"))
    for at in range(20 * trial):
        session.handle(Event(Kind.WHERE, float(at)))
    steps = session.step + len(way.keys)
    loop = Loop(session, Wording(ENGLISH, "thread"), lambda event: None, SilentMouth(), Together(Memory(), page))
    page.start(loop, {})
    running = threading.Thread(target=loop.run)
    running.start()
    for key in way.keys:
        kind, number = key if isinstance(key, tuple) else (key, None)
        loop.post(Event(kind, loop.clock.now(), number, "voice" if kind is Kind.REDO else "pedal"))
    assert wait(lambda: session.step >= steps and session.mode is way.mode), session.mode
    try:
        yield session
    finally:
        loop.post(Event(Kind.LEAVE, loop.clock.now()))
        running.join()


class Tapped(NamedTuple):
    """What came of two taps in the same place."""

    counted: int  # steps
    apart_s: float  # by the times that the browser gives them; a busy machine is slow to tap

    @property
    def meant(self) -> int:
        return 1 if self.apart_s < BOUNCE_S else 2


def taps_twice(window: Any, page: Page, way: Way, trial: int, apart_s: float) -> Tapped:
    """Two taps, so many seconds apart."""
    with at_the_loom(page, way, trial) as session:
        window.wait_for_function(
            "([mode, area]) => document.body.dataset.mode === mode && document.querySelector(area)?.offsetParent",
            arg=[way.mode.value, way.area],
        )
        window.evaluate(TIMES)
        time.sleep(0.05)
        box = window.locator(way.area).first.bounding_box()
        before, place = session.step, (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        window.touchscreen.tap(*place)
        time.sleep(apart_s)
        window.touchscreen.tap(*place)
        wait(lambda: session.step > before)
        time.sleep(0.12)
        first, second = window.evaluate("window.tapped")
        return Tapped(session.step - before, (second - first) / 1000)


def a_bounce(chance: random.Random) -> float:
    """Seconds between two taps of which the second was not meant."""
    return chance.uniform(SOONEST_S, LATEST_S)
