"""The page in a real browser: headless Chromium, driven by Playwright; axe-core judges how accessible it is."""

import io
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from at_the_page import CALLING, SHORT_WARP, WELL, WORDS, Answers, Sitting
from in_a_browser import (
    CUT_OFF,
    HEARD,
    LARGE,
    LOOKS,
    NEXT,
    OFF,
    ON_ITS_SIDE,
    PHONE,
    PICTURED,
    PLACES,
    SCREENS,
    SMALLEST,
    TABLET,
    TOO_SMALL,
    VIEWS,
    at_rest,
    hears,
    opened,
    shows,
    step_on,
)
from PIL import Image
from waiting import wait

from assistant.meaning import Tell
from assistant.senses.page.page import Page
from assistant.senses.pedal import gestures
from assistant.senses.pedal.gestures import Role
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName, Status, Time
from assistant.warp.sequence import loads
from assistant.words.language import codes, load


def test_a_warp_is_threaded_by_touch_and_key_while_a_second_page_follows(chromium: Any, tmp_path: Path) -> None:
    """And the sitting is killed in between: the page of the next goes on from there."""
    file = tmp_path / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    sitting = Sitting(file, tmp_path / "data", bounce=0)  # what is driven is faster than hands
    with opened(chromium, sitting.address, PHONE) as hand, opened(chromium, sitting.address) as other:
        for window in (hand, other):
            shows(window, "1", "2", "3", "4")
            assert window.locator("#following").inner_text().startswith("then stripe: ")
        hand.get_by_role("button", name="Next").tap()
        for window in (hand, other):
            shows(window, "EVEN?")
        sitting.kill()
        hand.get_by_text("Connection lost").wait_for()
        hand.get_by_role("button", name="Even", exact=True).tap()  # is not kept to be sent later
        sitting = Sitting(file, tmp_path / "data", bounce=0)
        for window in (hand, other):
            window.goto(sitting.address)
        shows(hand, "EVEN?")
        hand.keyboard.press("Space")
        for window in (hand, other):
            shows(window, "4", "3", "2", "1")
        other.keyboard.press("b")
        shows(hand, "EVEN?")
        hand.keyboard.press("Enter")
        shows(other, "4", "3", "2", "1")
        other.keyboard.press("n")
        shows(hand, "4", "3")
        assert [item.inner_text() for item in hand.locator("#yarns li").all()] == ["mist wool × 1", "rust silk × 1"]
        hand.get_by_role("button", name="Next").tap()
        for window in (hand, other):  # before that, what is touched answers the call
            shows(window, "EVEN?")
        hand.get_by_role("button", name="Short").tap()
        shows(other, "HOW", "MANY?")
        hand.get_by_role("button", name="1", exact=True).tap()
        shows(other, "1", "SHORT")
        assert other.get_by_role("alert").filter(has_text="COUNT OFF").count() == 1
        other.get_by_role("button", name="Settled").tap()
        other.locator("#list").get_by_text("10 ends counted in 2 groups; no group is off").wait_for()
        hand.locator("#apart").tap()
        hand.locator("#leave").get_by_role("button", name="Leave").tap()
        other.get_by_text("This sitting is over").wait_for()
        sitting.process.wait(60)
    assert "     2  stripe         6        6  settled" in sitting.process.communicate()[0]


def test_a_group_is_read_back_by_touch_and_by_digits_typed(chromium: Any, tmp_path: Path) -> None:
    file = tmp_path / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    sitting = Sitting(file, tmp_path, job=("check", "--read"))
    try:
        with opened(chromium, sitting.address) as window:
            shows(window, "1")
            window.keyboard.press("1")
            shows(window, "2")
            window.locator("[data-digit='2']").click()
            shows(window, "3")
            window.keyboard.press("4")
            shows(window, "3?")
            assert window.locator("#asked").inner_text() == "Read end 3 again. It was read as 4."
            assert window.locator("#taken").inner_text() == "Right up to end 2: 1 2."
            window.keyboard.press("Backspace")
            shows(window, "3")
            for digit, following in (("3", "4"), ("4", "EVEN?")):
                window.keyboard.press(digit)
                shows(window, following)
            window.keyboard.press("Enter")
            shows(window, "1")
            assert "stripe" in window.locator("#place").inner_text()
            assert sitting.leave().endswith("heard: Leave\n")
    finally:
        sitting.kill()


def test_two_pages_that_answer_the_same_step_count_once(chromium: Any, page: Page, answers: Answers) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as one, opened(chromium, page.door.address) as other:
        for window in (one, other):
            shows(window, "1", "2", "3", "4")
        one.get_by_role("button", name="Next").tap()
        assert wait(lambda: answers.taken)
        other.get_by_role("button", name="Next").tap()
        other.get_by_text("That was not counted").wait_for()
    assert [(step, event.kind, event.source) for step, event in answers.taken] == [(CALLING.step, NEXT, "page")]


def test_a_held_key_counts_once_and_a_button_just_touched_is_not_pressed_by_space(
    chromium: Any, page: Page, answers: Answers
) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.locator("[data-do=repeat]").click()
        assert wait(lambda: len(answers.taken) == 1)  # else the step is over before it is answered
        step_on(page, window, 1)
        window.keyboard.down("Space")
        assert wait(lambda: len(answers.taken) == 2)
        step_on(page, window, 2)
        window.keyboard.down("Space")  # without an up between it is a repeat
        window.keyboard.up("Space")
        window.keyboard.press("w")  # takes the step, unless something was sent before
        assert wait(lambda: len(answers.taken) == 3)
    assert [event.kind for _, event in answers.taken] == [Kind.REPEAT, NEXT, Kind.WHERE]


def test_a_taught_pedal_works_by_its_gestures(
    chromium: Any, page: Page, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gestures, "BETWEEN", 3.0)  # seconds: a busy machine is slow to press a key twice
    monkeypatch.setattr(gestures, "Gestures", partial(gestures.Gestures, hold=3.0))
    page.start(answers, {"f8": Role.ONE})
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        for _ in range(2):
            window.keyboard.press("F8", delay=40)
        assert wait(lambda: len(answers.taken) == 1)
        step_on(page, window, 1)
        window.keyboard.down("F8")
        assert wait(lambda: len(answers.taken) == 2)
        window.keyboard.up("F8")
    assert [event.kind for _, event in answers.taken] == [Kind.REPEAT, Kind.BACK]


@pytest.mark.parametrize("screen", SCREENS)
def test_everything_has_its_place(chromium: Any, page: Page, screen: str) -> None:
    """Figures and all that is touched are whole, large enough and apart; what has no room folds away."""
    size, root_px = SCREENS[screen]
    long = replace(CALLING, title="Wohnzimmerfenstervorhang " * 8, group="왼쪽 가장자리 " * 4)
    deaf = Status(
        False, False, notices=(Tell("not listening", why="no microphone was found; plug one in, or go on with keys"),)
    )
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, size, bypass_csp=True) as window:
        window.add_style_tag(content=f"html {{ font-size: {root_px}px }}")
        shows(window, "1", "2", "3", "4")
        for name, view in (*VIEWS.items(), *PICTURED.items(), ("long", long)):
            page.show(replace(view, title=f"{name} {view.title}"), deaf)
            window.wait_for_function("title => document.title.startsWith(title)", arg=f"{name} {view.title[:20]}")
            at_rest(window)
            assert (window.evaluate(PLACES), window.evaluate(TOO_SMALL)) == ([], []), name
            if view.mode is ModeName.CALLING:
                wide = [window.locator(f"#large [data-do={kind}]").bounding_box()["width"] for kind in LARGE]
                assert min(wide) >= size[0] / 3
                assert window.locator("#large [data-do=next]").bounding_box()["height"] >= 60


# Every language where there is least room; elsewhere one with long words, and one with letters of its own.
@pytest.mark.parametrize(
    ("code", "size"), [*((code, SMALLEST) for code in codes()), ("de", ON_ITS_SIDE), ("ko", TABLET)]
)
def test_every_language_has_its_place(
    chromium: Any, code: str, size: tuple[int, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    page = Page(load(code))
    page.start(Answers(), {})
    with closing(page), opened(chromium, page.door.address, size) as window:
        assert window.evaluate("() => document.documentElement.lang") == code
        for number, (name, view) in enumerate([*VIEWS.items(), *PICTURED.items()]):
            page.show(replace(view, title=f"{number}"), WELL)
            window.wait_for_function("title => document.title.startsWith(title)", arg=f"{number},")
            at_rest(window)
            assert (window.evaluate(PLACES), window.evaluate(CUT_OFF)) == ([], []), name


def test_a_question_for_a_number_shows_just_those_that_answer(chromium: Any, page: Page, answers: Answers) -> None:
    """Few are touched once; of many, digits that lead to none cannot be touched."""
    page.show(VIEWS[ModeName.COUNTING], WELL)
    with opened(chromium, page.door.address, PHONE) as window:
        shows(window, "HOW", "MANY?")
        assert window.locator("#digits button").all_inner_texts() == ["0", "1", "2", "3", "4"]
        page.show(replace(VIEWS[ModeName.COUNTING], step=50, largest=24, answers=tuple(range(1, 25))), WELL)
        window.locator("#take").wait_for()
        window.locator("[data-digit='2']").tap()
        usable = window.locator("[data-digit]:enabled").all_inner_texts()
        assert usable == ["1", "2", "3", "4", "0"]
        window.locator("[data-digit='3']").tap()
        assert window.locator("[data-digit]:enabled").count() == 0
        window.locator("#take").tap()
        assert wait(lambda: answers.taken)
    assert [(event.kind, event.number) for _, event in answers.taken] == [(Kind.NUMBER, 23)]


@pytest.mark.parametrize(
    ("look", "size"), [("light", TABLET), ("dark", PHONE), ("contrast", TABLET), ("forced", PHONE)], ids=LOOKS
)
def test_axe_finds_nothing(chromium: Any, page: Page, look: str, size: tuple[int, int]) -> None:
    """axe-core of Deque Systems, all its rules but those that are experimental, as axe-playwright-python brings it."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, size, **LOOKS[look]) as window:
        shows(window, "1", "2", "3", "4")
        for number, view in enumerate([*VIEWS.values(), *(PICTURED.values() if look == "light" else ())]):
            page.show(replace(view, title=f"{number}"), WELL)
            window.wait_for_function("title => document.title.startsWith(title)", arg=f"{number},")
            at_rest(window)
            found = axe.Axe().run(window)
            assert {"color-contrast", "button-name"} <= {rule["id"] for rule in found.response["passes"]}
            assert found.violations_count == 0, found.generate_report()
        window.get_by_role("button", name="Help").click()
        window.get_by_text("Fasten the device").wait_for()
        assert axe.Axe().run(window).violations_count == 0


def test_a_title_is_text_whatever_it_holds(chromium: Any, page: Page) -> None:
    nasty = '<img src=x onerror="document.title=1"><script>document.title=2</script>'
    line = replace(CALLING.summary[0], name=nasty)
    page.show(
        replace(CALLING, title=nasty, group=nasty, prompt=(Tell(nasty),), summary=(line, CALLING.summary[1])), WELL
    )
    with opened(chromium, page.door.address) as window:
        window.get_by_role("heading", name=nasty).wait_for()
        assert window.locator("img").count() == 0
        assert nasty in window.locator("#map").get_attribute("aria-valuetext")
        assert window.title().startswith("<img")


def test_a_screen_reader_is_told_one_sentence_an_event(chromium: Any, page: Page) -> None:
    """Also where it is the same again; a count that is off at once, and never twice."""
    said, off = WORDS.said(CALLING), WORDS.asked(OFF)
    repeated, turned = (replace(WELL, heard=Event(kind, 0.0, source="key")) for kind in (Kind.REPEAT, Kind.LOUDER))
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.evaluate(HEARD)
        for status in (replace(WELL, notices=(Tell("pedal ready"),)), WELL):
            page.show(replace(CALLING, left=Time("thread", 100.0, own=True)), status)
            hears(window, status)
        assert window.evaluate("said") == []
        happened = [(CALLING, repeated)] * 2 + [(CALLING, turned), (OFF, WELL), (OFF, turned), (OFF, WELL)]
        for more, (view, status) in enumerate(happened, 1):
            page.show(replace(view, step=CALLING.step + more, title=f"{more}"), status)
            window.wait_for_function("title => document.title.startsWith(title)", arg=f"{more},")
        told = [(region, text.strip("\u00a0")) for region, text in window.evaluate("said") if text]
    louder = ("said", WORDS.heard(turned))
    assert told == [("said", said), ("said", said), louder, ("alert", off), louder, ("alert", off)]


def test_the_warp_hangs_as_seen_from_the_front_and_tells_each_group_in_words(
    chromium: Any, page: Page, answers: Answers
) -> None:
    """The first end lies at the right, where the warp begins; a group touched is looked at, and then gone to."""
    page.show(OFF, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "SHORT")
        at_rest(window)
        wide = window.locator("#map").bounding_box()
        edge, stripe = (box.bounding_box() for box in window.locator("#map .state").all())
        assert [box["width"] / wide["width"] for box in (edge, stripe)] == pytest.approx([0.4, 0.6], abs=0.01)
        assert edge["x"] > stripe["x"]
        drawn = np.asarray(Image.open(io.BytesIO(window.locator("#map canvas").screenshot())).convert("RGB"))
        colours = [tuple(drawn[8, int(part * drawn.shape[1])]) for part in (0.95, 0.55, 0.05)]
        assert colours == [(0xA4, 0x53, 0x2C), (0xB7, 0xC4, 0xC9), (0xA4, 0x53, 0x2C)]
        told = "stripe, group 2 of 2: 0 of 6 ends, waiting, mist wool and rust silk"
        window.mouse.move(wide["x"] + 0.3 * wide["width"], wide["y"] + 20)
        assert window.locator("#told").inner_text() == told
        window.mouse.move(5, 5)
        assert window.locator("#told").inner_text() == "1 of 2 groups closed, 1 off"
        window.locator("#map").focus()
        window.keyboard.press("End")
        assert window.get_by_role("slider").get_attribute("aria-valuetext") == told
        window.keyboard.press("Home")
        assert (
            window.locator("#told").inner_text().startswith("edge, group 1 of 2: 3 of 4 ends, OFF, 1 short, rust silk")
        )
        window.touchscreen.tap(wide["x"] + 0.3 * wide["width"], wide["y"] + 20)
        assert window.locator("#told").inner_text() == told
        assert answers.taken == []
        window.locator("#go").tap()
        assert wait(lambda: answers.taken)
    assert [(event.kind, event.number) for _, event in answers.taken] == [(Kind.GO_TO, 2)]


def test_touch_alone_reaches_any_of_a_hundred_groups(chromium: Any, page: Page, answers: Answers) -> None:
    """On the smallest screen a group is 3 pixels wide: near it one is stepped on to, by areas of a finger's size."""
    groups = ", ".join(f'{{name: g {n}, thread: "1 2 3 4"}}' for n in range(1, 101))
    loom = Session(loads(f"{{title: Hundred, shafts: 4, groups: [{groups}]}}".encode(), "hundred.yaml"))
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    page.show(loom.view(), WELL)
    with opened(chromium, page.door.address, SMALLEST) as window:
        shows(window, "1", "2", "3", "4")
        at_rest(window)
        lies = window.locator("#map").bounding_box()
        window.touchscreen.tap(lies["x"] + 0.275 * lies["width"], lies["y"] + 20)
        told = window.locator("#told")
        touched = int(told.inner_text().split()[1].strip(","))
        assert touched in range(68, 79)  # as near as a finger
        at_rest(window)
        near = {name: window.locator(f"#{name}").bounding_box() for name in ("one-back", "go", "one-on")}
        assert all(box["width"] >= 60 and box["height"] >= 60 for box in near.values())
        assert near["one-on"]["x"] < near["go"]["x"] < near["one-back"]["x"]  # as groups lie
        assert (window.evaluate(PLACES), window.evaluate(TOO_SMALL)) == ([], [])
        for _ in range(abs(80 - touched)):
            window.locator("#one-on").tap()
        window.locator("#one-back").tap()
        assert told.inner_text().startswith("g 79, group 79 of 100")
        assert answers.taken == []
        window.locator("#go").tap()
        assert wait(lambda: answers.taken)
        assert not window.locator("#near").is_visible()
        window.locator("#map").tap()
        window.locator("#further").get_by_role("button").first.tap()
        assert not window.locator("#near").is_visible()
    step, gone_to = answers.taken[0]
    assert (step, gone_to.kind, gone_to.number) == (loom.step, Kind.GO_TO, 79)


def test_a_number_that_cannot_answer_is_refused_in_words(chromium: Any, page: Page, answers: Answers) -> None:
    """Typed here it is not sent; typed elsewhere the page says so, too."""
    counting = VIEWS[ModeName.COUNTING]
    page.show(counting, WELL)
    with opened(chromium, page.door.address, PHONE) as window:
        shows(window, "HOW", "MANY?")
        became = window.locator("#became")
        window.keyboard.press("7")
        became.wait_for()
        assert became.inner_text() == "0 to 4 can answer here."
        assert window.locator("#typed").text_content() == ""
        window.keyboard.press("3")
        assert wait(lambda: answers.taken)
        page.show(replace(counting, step=counting.step + 1, refused=True), WELL)
        window.wait_for_function("() => document.getElementById('asked').textContent.startsWith('0 to 4')")
        page.show(replace(CALLING, step=counting.step + 2), WELL)
        shows(window, "1", "2", "3", "4")
        window.keyboard.press("5")
        window.wait_for_function("() => document.getElementById('became').textContent.startsWith('No number')")
    assert [(event.kind, event.number) for _, event in answers.taken] == [(Kind.NUMBER, 3)]


def test_big_shows_the_figures_alone_and_all_of_it_is_next(chromium: Any, page: Page, answers: Answers) -> None:
    """What closes a group lies where nothing was to touch before."""
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, PHONE) as window:
        shows(window, "1", "2", "3", "4")
        before = window.locator(".lines").first.bounding_box()["height"]
        window.get_by_role("button", name="Big").tap()
        at_rest(window)
        assert window.locator(".lines").first.bounding_box()["height"] > before
        assert not window.locator("#touch").is_visible()
        whole = window.locator("#whole").bounding_box()
        assert whole["width"] * whole["height"] > 0.8 * PHONE[0] * PHONE[1]
        window.touchscreen.tap(PHONE[0] / 2, PHONE[1] / 2)
        assert wait(lambda: answers.taken)
        page.show(VIEWS[ModeName.CLOSING], WELL)
        shows(window, "EVEN?")
        at_rest(window)
        assert not window.locator("#whole").is_visible()
        even = window.locator("#apart").bounding_box()
        assert whole["y"] + whole["height"] <= even["y"] < even["y"] + even["height"] <= PHONE[1]
        page.show(VIEWS[ModeName.OFF], WELL)
        shows(window, "1", "SHORT")
        assert window.locator("#touch").is_visible()
    assert [event.kind for _, event in answers.taken] == [NEXT]


def test_nothing_is_asked_of_anybody_else(chromium: Any, page: Page) -> None:
    page.show(CALLING, WELL)
    asked: list[str] = []
    context = chromium.new_context(reduced_motion="reduce")
    window = context.new_page()
    window.on("request", lambda request: asked.append(request.url))
    window.goto(page.door.address)
    shows(window, "1", "2", "3", "4")
    context.close()
    assert {url.split("/")[2] for url in asked} == {f"127.0.0.1:{page.door.port}"}
