"""The page in a real browser, headless Chromium by Playwright: to open it, to wait, and to look where things are."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from at_the_page import CALLING, WELL, WORDS, session

from assistant.senses.page.page import Page
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName, Status, View
from assistant.warp.passes import PASSES
from assistant.warp.sequence import loads

PHONE, ON_ITS_SIDE, TABLET, DESKTOP = (390, 844), (844, 390), (1024, 768), (1600, 900)
SMALLEST = (320, 568)
SCREENS = {  # with the size of the type that the browser is set to, in pixels
    "smallest": (SMALLEST, 16),
    "phone": (PHONE, 16),
    "phone, large type": (PHONE, 32),
    "on its side": (ON_ITS_SIDE, 16),
    "tablet": (TABLET, 16),
    "tablet, large type": (TABLET, 32),
    "tablet, upright": ((768, 1024), 16),
    "tablet, enlarged twice": ((512, 384), 16),
    "desktop": (DESKTOP, 16),
}
LARGE = (Kind.BACK, Kind.REPEAT, Kind.NEXT)
LOOKS = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "contrast": {"color_scheme": "dark", "contrast": "more"},
    "forced": {"forced_colors": "active"},
}
NEXT, SHORT = Kind.NEXT, Kind.SHORT
OFF = session(NEXT, (SHORT, 1)).view()
VIEWS = {
    ModeName.CALLING: CALLING,
    ModeName.CLOSING: session(NEXT).view(),
    ModeName.COUNTING: session(NEXT, SHORT).view(),
    ModeName.OFF: OFF,
    ModeName.ASKING: session(NEXT, (SHORT, 1), Kind.FIND).view(),
    ModeName.COMPLETE: session(*[NEXT] * 5).view(),
}
MANY_SHAFTS = """
title: Many
shafts: 24
sley: [2, 0, 1]
sett: 20
reed: 10
yarns:
  rust: {name: rust silk, colour: "#a4532c"}
  brick: {name: brick wool, colour: "#a8502f"}
groups:
  - {name: edge, thread: "50(1 2 3 24)", yarn: "1 rust, 1 brick"}
  - {name: body, thread: "6(1 13/24 8 1/13)", yarn: "2 rust, 1 brick"}
"""


def at_work(job: str, *keys: Kind | tuple[Kind, int]) -> View:
    """A job on many shafts, after these."""
    loom = Session(loads(MANY_SHAFTS.encode(), "many.yaml"), PASSES[job])
    for at, key in enumerate((Kind.SIT_DOWN, *keys)):
        kind, number = key if isinstance(key, tuple) else (key, None)
        loom.handle(Event(kind, 5.0 * at, number, "key"))
    return loom.view()


PICTURED = {  # what stands beside the figures as a picture
    "a mistake": at_work("thread", *[NEXT] * 50, (Kind.OVER, 1), Kind.FIND),
    "heddles left": at_work("thread", *[NEXT] * 50, Kind.HEDDLE_LEFT, (Kind.NUMBER, 24)),
    "how far": at_work("thread", *[NEXT] * 30, Kind.FINISHED),
    "looked on": at_work("thread", (Kind.GO_TO, 1), *[NEXT] * 20),
    "heddles": at_work("heddles"),
    "dents": at_work("sley", NEXT),
    "a mistake in the reed": at_work("sley", *[NEXT] * 60, (Kind.OVER, 1), Kind.FIND),
    "knots": at_work("tie", NEXT),
    "wound": at_work("wind"),
}


@contextmanager
def opened(browser: Any, address: str, size: tuple[int, int] = TABLET, **look: Any) -> Iterator[Any]:
    """The page in a window of its own; whatever it complains of is a failure."""
    complaints: list[str] = []
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, has_touch=True, **look)
    window = context.new_page()
    window.set_default_timeout(60_000)
    window.on("pageerror", lambda error: complaints.append(str(error)))
    window.on("console", lambda line: complaints.append(line.text) if "ERR_CONNECTION" not in line.text else None)
    window.goto(address)
    yield window
    context.close()
    assert complaints == []


def figures(window: Any) -> list[str]:
    return list(window.locator(".lines").all_inner_texts())


def shows(window: Any, *texts: str) -> None:
    """Wait until the figures are these."""
    window.wait_for_function(
        "texts => [...document.querySelectorAll('.lines')].map((face) => face.textContent).join() === texts",
        arg=",".join(texts),
    )


def hears(window: Any, status: Status) -> None:
    """Wait until the page shows what was heard, and the notice, of this."""
    window.wait_for_function(
        "texts => ['heard', 'notice'].map((id) => document.getElementById(id).textContent).join() === texts",
        arg=f"{WORDS.heard(status)},{WORDS.notice(status)}",
    )


def step_on(page: Page, window: Any, steps: int) -> None:
    """The session goes on, and the window knows."""
    page.show(replace(CALLING, step=CALLING.step + steps, title=f"{steps} on"), WELL)
    window.wait_for_function("title => document.title.startsWith(title)", arg=f"{steps} on")


def at_rest(window: Any) -> None:
    """Wait until all is in its place, which takes a few frames, and nothing turns any more."""
    window.evaluate(
        """async () => {
          const figures = document.getElementById("figures");
          for (let still = 0, before = ""; still < 4; ) {
            await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
            const now = figures.style.cssText + figures.parentElement.clientHeight;
            still = now === before ? still + 1 : 0;
            before = now;
          }
        }"""
    )
    window.wait_for_function("() => document.getAnimations().length === 0")


PLACES = """() => {
  const name = (node) => node.id || node.textContent || node.tagName;
  const main = document.querySelector("main");
  const folded = (node) => main.contains(node) && node.getBoundingClientRect().left >= innerWidth;
  const told = "button:is(#large *, #digits *, #apart), header, "
    + "#board, #where, #map, #asked, #picture, #following, #yarns";
  const places = [...document.querySelectorAll(told)].filter((node) => !folded(node))
    .map((node) => [name(node), node.getBoundingClientRect()]).filter(([, box]) => box.width);
  const outside = places.filter(([, box]) =>
    box.left < 0 || box.top < 0 || box.right > innerWidth + 1 || box.bottom > innerHeight + 1);
  const meet = (a, b) =>
    a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
  const above = places.flatMap(([one, a]) =>
    places.filter(([other, b]) => other !== one && meet(a, b)).map(([other]) => `${one} on ${other}`));
  const board = document.getElementById("board").getBoundingClientRect();
  const drawn = [...document.querySelectorAll("#figures .line-of, #figures .bar")]
    .map((node) => [name(node), node.getBoundingClientRect()]);
  const cut = drawn.filter(([, box]) => box.width && (box.left < board.left - 1 || box.right > board.right + 1
    || box.top < board.top - 1 || box.bottom > board.bottom + 1));
  const picture = document.getElementById("picture");
  const around = picture.getBoundingClientRect();
  const texts = [...picture.querySelectorAll("text")].map((node) => [node.textContent, node.getBoundingClientRect()]);
  const beyond = texts.filter(([, box]) => box.left < around.left - 1 || box.right > around.right + 1
    || box.top < around.top - 2 || box.bottom > around.bottom + 2);
  const mingled = texts.flatMap(([one, a], n) =>
    texts.slice(n + 1).filter(([, b]) => meet(a, b)).map(([other]) => `${one} on ${other}`));
  cut.push(...beyond);
  above.push(...mingled);
  return [...outside.map(([one]) => `${one} outside`), ...above, ...cut.map(([one]) => `${one} is cut`)];
}"""
TOO_SMALL = """() => [...document.querySelectorAll("button")]
  .map((node) => [node.textContent, node.getBoundingClientRect()])
  .filter(([, box]) => box.width && (box.width < 60 || box.height < 60)).map(([text]) => text)"""
CUT_OFF = """() => {
  const broken = (node) => [...(node.localName === "button" ? node.textContent.matchAll(/\\S+/g) : [])].some((word) => {
    const range = document.createRange();
    range.setStart(node.firstChild, word.index);
    range.setEnd(node.firstChild, word.index + word[0].length);
    return new Set([...range.getClientRects()].map((box) => box.top)).size > 1;
  });
  return [...document.querySelectorAll("button, #asked, #group, #range")]
    .filter((node) => node.scrollWidth > node.clientWidth + 1 || broken(node)).map((node) => node.textContent);
}"""
HEARD = """() => {
  window.said = [];
  for (const node of [document.getElementById("said"), document.getElementById("alert")]) {
    new MutationObserver(() => window.said.push([node.id, node.textContent])).observe(node, { childList: true });
  }
}"""
