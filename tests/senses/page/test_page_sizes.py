"""How large what matters is, from three metres, and how it stands out: in a browser, from the pixels of devices."""

import io
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from at_the_page import CALLING, WELL
from in_a_browser import LOOKS, OFF, at_rest
from PIL import Image

from assistant.senses.page import page as pages
from assistant.senses.page.page import Page
from assistant.senses.screen.dyes import GROUNDS, contrast
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import View
from assistant.warp.sequence import loads

DISTANCE_MM = 3000
# Pixels of the screen, pixels of the device to one of the page, and to the inch, as makers publish them.
TABLET = ((1024, 768), 2, 264)  # 9.7 inches, 2048 by 1536
PHONE = ((390, 844), 3, 460)  # 6.1 inches, 1170 by 2532
FOUR = 'thread: "7(1 2 3 4)"'
TWO_SHAFTS = 'thread: "6(1/13 2/14 11/23 12/24)"'


def call(thread: str, size: int) -> View:
    yarns = 'yarns: {a: {name: rust, colour: "#a4532c"}}'
    warp = f"{{title: Sizes, shafts: 24, {yarns}, groups: [{{name: all, {thread}, yarn: a}}]}}"
    loom = Session(loads(warp.encode(), "sizes.yaml"), size=size)
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    return loom.view()


def arc_minutes(pixels: float, to_the_inch: int) -> float:
    return math.degrees(math.atan(pixels * 25.4 / to_the_inch / DISTANCE_MM)) * 60


def rows_of_ink(window: Any, area: str) -> int:
    """Device pixels from the top of what is drawn in an area down to the first gap, as the screen has them."""
    shot = Image.open(io.BytesIO(window.locator(area).first.screenshot()))
    grey = np.asarray(shot.convert("L")).astype(int)
    inked = (abs(grey - grey[0, 0]) > 100).any(axis=1)
    drawn = inked[inked.argmax() :]
    return int(len(drawn) if drawn.all() else drawn.argmin())


@pytest.mark.parametrize(
    ("device", "thread", "size", "least"),
    [(TABLET, FOUR, 4, 35), (PHONE, FOUR, 12, 14), (TABLET, TWO_SHAFTS, 12, 10)],
    ids=["four on a tablet", "twelve on a phone", "twelve of two shafts on a tablet"],
)
def test_figures_are_read_from_three_metres(
    chromium: Any, page: Page, device: tuple[tuple[int, int], int, int], thread: str, size: int, least: float
) -> None:
    (width, height), dense, to_the_inch = device
    page.show(call(thread, size), WELL)
    context = chromium.new_context(
        viewport={"width": width, "height": height}, device_scale_factor=dense, has_touch=True, is_mobile=True
    )
    window = context.new_page()
    window.goto(page.door.address)
    window.locator(".lines").first.wait_for()
    at_rest(window)
    cap = rows_of_ink(window, ".line-of")
    bar = window.locator(".bar").first.bounding_box()
    context.close()
    assert arc_minutes(cap, to_the_inch) >= least
    assert arc_minutes(bar["width"] * dense, to_the_inch) >= 8
    assert bar["height"] >= 8


def colours(scheme: int) -> dict[str, str]:
    """Those of the page's style, light or dark, by their names."""
    style = (Path(pages.__file__).parent / "static" / "page.css").read_text(encoding="utf-8")
    told = re.findall(r"(?s):root \{(.*?)\}", style)
    return dict(re.findall(r"--(\w[\w-]*): (#[0-9a-f]{6});", told[0] if scheme == 1 else told[1]))


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_contrasts(scheme: int) -> None:
    """At least 7 to 1 for what is read (WCAG 2.2, 1.4.6), 3 to 1 between an alarm and what stands there else."""
    tells = colours(scheme)
    assert tells["ground"] == GROUNDS[scheme]
    for ink, on in (
        *(("ink", "ground"), ("ink", "raised"), ("soft", "ground"), ("soft", "raised"), ("figure", "ground")),
        *(("on-act", "act"), ("ground", "alarm")),
    ):
        assert contrast(tells[ink], tells[on]) >= 7, (ink, on)
    assert contrast(tells["alarm"], tells["ground"]) >= 3


def test_an_alarm_is_told_from_across_the_room(chromium: Any, page: Page) -> None:
    """Of what is drawn on the board."""
    page.show(CALLING, WELL)
    context = chromium.new_context(viewport={"width": 1024, "height": 768}, color_scheme="light")
    window = context.new_page()
    window.goto(page.door.address)
    window.locator(".lines").first.wait_for()
    grounds = []
    for view in (CALLING, OFF):
        page.show(view, WELL)
        window.wait_for_function("mode => document.body.dataset.mode === mode", arg=view.mode.value)
        at_rest(window)
        shot = np.asarray(Image.open(io.BytesIO(window.locator("#board").screenshot())).convert("RGB"))
        grounds.append("#" + "".join(f"{channel:02x}" for channel in shot[2, 2]))
    context.close()
    assert contrast(*grounds) >= 3


@pytest.mark.parametrize("look", LOOKS)
def test_the_word_of_an_alarm_is_seen_in_every_scheme(chromium: Any, page: Page, look: str) -> None:
    """Where colours are forced a browser lays a ground under text, which hid a word of that very colour."""
    page.show(OFF, WELL)
    context = chromium.new_context(viewport={"width": 1024, "height": 768}, **LOOKS[look])
    window = context.new_page()
    window.goto(page.door.address)
    window.locator(".lines").first.wait_for()
    at_rest(window)
    shot = Image.open(io.BytesIO(window.locator(".lines").last.screenshot())).convert("L")
    context.close()
    dark, light = ((np.asarray(shot) < 128).mean(), (np.asarray(shot) >= 128).mean())
    assert min(dark, light) > 0.15, "figures and their ground"


def test_the_page_is_small() -> None:
    """All that a browser fetches of it."""
    static = Path(pages.__file__).parent / "static"
    assert sum(file.stat().st_size for file in static.iterdir()) < 120_000
