"""Pictures of the page in every mode, on every screen, in every scheme and language, to be looked at one by one.

    python packaging/screens.py FOLDER
    python packaging/screens.py FOLDER --languages en ko --screens phone tablet --schemes light
    python packaging/screens.py docs/pictures --handbook

A picture each, FOLDER/LANGUAGE/SCREEN, SCHEME, MODE.png, and for each language, screen and scheme one sheet of all
modes. All of them are some 5,500 and take an hour and a half. --handbook makes those few, in English, that the README
and the handbook show, and the board.
"""

import argparse
import asyncio
import io
import re
import shutil
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from at_the_page import WELL, Answers, session
from in_a_browser import LOOKS, SCREENS, at_rest, opened
from PIL import Image
from playwright.sync_api import sync_playwright
from tapping import WAYS

from assistant.senses.page.page import Page
from assistant.senses.screen.terminal import BoardApp
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import View
from assistant.warp.examples import find
from assistant.warp.model import Warp
from assistant.warp.passes import PASSES
from assistant.warp.sequence import load as warp_of
from assistant.warp.sequence import loads
from assistant.words.language import codes, load

ACROSS = 4  # pictures of a sheet
BOARD = 92, 30  # columns and rows of the terminal
SHOWN = {  # on a tablet, in the handbook
    "page": ("thread", [Kind.NEXT] * 7),
    "search": ("thread", [*[Kind.NEXT] * 7, Kind.FIND]),
    "sleying": ("sley", [Kind.NEXT] * 5),
}
WARP = """
title: Many
shafts: 24
sley: [2]
sett: 20
reed: 10
yarns:
  rust: {name: rust silk, colour: "#a4532c"}
  brick: {name: brick wool, colour: "#a8502f"}
  mist: {name: mist wool, colour: "#f0efe6"}
groups:
  - {name: edge, thread: "7(1 2 3 4)", yarn: rust}
  - {name: body, thread: "6(1 13/24 8 1/13)", yarn: "2 mist, 1 rust, 1 brick"}
  - {name: end, thread: "10(1 2 3 4)", yarn: "2 brick, 2 rust"}
"""


PAIRS = """
title: Pairs
shafts: 8
reed: 10
sett: 20
sley: [2]
selvedge: {floating: 1, doubled: 2, sley: [1, 4]}
yarns:
  linen: {name: bleached linen, colour: "#e4ddcb"}
  leaf: {name: leaf green silk, colour: "#6f8f57"}
beams:
  ground: {name: ground beam, length: 4 m}
  silk: {name: upper beam, length: 3.8 m}
groups:
  - {name: right border, thread: 4(5..8), yarn: linen, beam: ground}
  - {name: stripe, thread: "4(1 2 3/7*2 1*2)", yarn: "leaf", beam: silk, sley: [3]}
  - {name: lace, thread: 4(1 3 1 3 1 2; 1 4 1 4 1 2), yarn: linen, beam: ground, empty_before: 1}
  - {name: left border, thread: 2(5..8), yarn: linen, beam: ground, mirror: true}
"""


def moments() -> Iterator[tuple[str, View]]:
    """Every mode, every job, and the largest calls."""
    for way in WAYS:
        yield way.mode.value, session(*way.keys).view()
    for job in PASSES.values():
        yield f"job {job.name}", begun(job.name)
    yield "four of 24 shafts", begun("thread", 4)
    yield "twelve of 24 shafts", begun("thread", 12)
    yield "twelve, two shafts an end", begun("thread", 12, then=[Kind.NEXT] * 4)
    yield "a mistake in the reed", begun("sley", then=(*[Kind.NEXT] * 3, Kind.FIND))
    yield from of_pairs()


def of_pairs() -> Iterator[tuple[str, View]]:
    """Ends that float, several ends in one heddle, several beams, dents by repeats and left empty."""
    warp = loads(PAIRS.encode(), "pairs.yaml")
    for job in PASSES.values():
        yield f"pairs, job {job.name}", begun(job.name, warp=warp)
    for size in (4, 12):
        for calls in range(6):
            yield f"pairs, {size} a call, {calls} done", begun("thread", size, [Kind.NEXT] * calls, warp)
    for calls in range(1, 8):
        yield f"pairs, sleyed, {calls} done", begun("sley", then=[Kind.NEXT] * calls, warp=warp)
    for calls in (1, 2, 3):
        yield f"pairs, wound, {calls} done", begun("wind", then=[Kind.NEXT] * calls, warp=warp)
    closing = begun_at(warp, Kind.SIT_DOWN, *[Kind.NEXT] * 4)
    yield "pairs, even", closing.view()
    for kind, number in ((Kind.OVER, None), (Kind.NUMBER, 1), (Kind.FIND, None), (Kind.FIND, None)):
        closing.handle(Event(kind, 0.0, number))
        yield f"pairs, {closing.view().mode.value} after {kind.value}", closing.view()
    while closing.view().mode.value == "asking":
        closing.handle(Event(Kind.NEXT, 0.0))
    yield "pairs, found", closing.view()


def begun_at(warp: Warp, *kinds: Kind) -> Session:
    """A session of threading, after these."""
    loom = Session(warp, PASSES["thread"])
    for kind in kinds:
        loom.handle(Event(kind, 0.0))
    return loom


def begun(job: str, size: int | None = None, then: Sequence[Kind] = (), warp: Warp | None = None) -> View:
    loom = Session(warp or loads(WARP.encode(), "many.yaml"), PASSES[job], size)
    for kind in (Kind.SIT_DOWN, *then):
        loom.handle(Event(kind, 0.0))
    return loom.view()


def pictures(browser: Any, code: str, screen: str, scheme: str, folder: Path) -> None:
    size, root_px = SCREENS[screen]
    page = Page(load(code))
    page.start(Answers(), {})
    taken = []
    with closing(page), opened(browser, page.door.address, size, bypass_csp=True, **LOOKS[scheme]) as window:
        window.add_style_tag(content=f"html {{ font-size: {root_px}px }}")
        for number, (mode, view) in enumerate(moments()):
            page.show(replace(view, step=number, title=f"{number}"), WELL)
            window.wait_for_function("title => document.title.startsWith(title + ',')", arg=f"{number}")
            at_rest(window)
            taken.append(window.screenshot())
            (folder / f"{screen}, {scheme}, {mode}.png").write_bytes(taken[-1])
    shots = [Image.open(io.BytesIO(one)) for one in taken]
    wide, high = size[0] + 8, size[1] + 8
    sheet = Image.new("RGB", (ACROSS * wide, -(-len(shots) // ACROSS) * high), "magenta")
    for number, shot in enumerate(shots):
        sheet.paste(shot, (number % ACROSS * wide, number // ACROSS * high))
    sheet.save(folder / f"all of {screen}, {scheme}.png")


def handbook(browser: Any, folder: Path) -> None:
    """The board, and a few moments of a warp of three yarns on a page."""
    scarf = warp_of(find("lakeside-scarf"))
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "board.png").write_bytes(drawn(browser, begun("thread", then=[Kind.NEXT] * 7, warp=scarf)))
    page = Page(load("en"))
    page.start(Answers(), {})
    with closing(page):
        for name, (job, keys) in SHOWN.items():
            page.show(begun(job, then=keys, warp=scarf), WELL)
            with opened(browser, page.door.address, SCREENS["tablet"][0], **LOOKS["light"]) as window:
                window.wait_for_function("title => document.title.includes(title)", arg=scarf.title)
                at_rest(window)
                (folder / f"{name}.png").write_bytes(window.screenshot())


def drawn(browser: Any, view: View) -> bytes:
    """The board as a terminal shows it: characters in cells, each in its colours."""

    async def cells() -> str:
        app = BoardApp(ScreenWords(load("en")), Future, lambda key, ago: None)
        async with app.run_test(size=BOARD) as pilot:
            app.show(view, WELL)
            await pilot.pause()
            return app.export_screenshot(title=view.title)

    with ThreadPoolExecutor() as beside:  # the browser has an event loop in this one
        svg = re.sub(r"@font-face \{.*?\}", "", beside.submit(asyncio.run, cells()).result(), flags=re.DOTALL)
    svg = re.sub(r' clip-path="[^"]*-line-\d+\)"', "", svg)  # rows touch each other, as they do in a terminal
    svg = svg.replace("font-size: 20px", "font-size: 22px")
    window = browser.new_page(viewport={"width": 1200, "height": 900})
    window.set_content(f"<body style='margin: 0'>{svg}")
    shot: bytes = window.locator("svg").screenshot()
    window.close()
    return shot


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--languages", nargs="+", choices=codes(), default=codes(), metavar="LANG")
    parser.add_argument("--screens", nargs="+", choices=SCREENS, default=list(SCREENS), metavar="SCREEN")
    parser.add_argument("--schemes", nargs="+", choices=LOOKS, default=list(LOOKS), metavar="SCHEME")
    parser.add_argument("--handbook", action="store_true", help="only what README and handbook show")
    wished = parser.parse_args()
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        parser.error("chromium is not installed; apt install chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        if wished.handbook:
            handbook(browser, wished.folder)
            return
        for code in wished.languages:
            folder = wished.folder / code
            folder.mkdir(parents=True, exist_ok=True)
            for screen in wished.screens:
                for scheme in wished.schemes:
                    pictures(browser, code, screen, scheme, folder)
                    print(f"{code}, {screen}, {scheme}", flush=True)


if __name__ == "__main__":
    main()
