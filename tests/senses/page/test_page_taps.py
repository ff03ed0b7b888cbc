"""Nothing by mistake: taps that were not meant, areas under a finger, a connection that is lost; in a real browser."""

import random
from pathlib import Path
from typing import Any

import pytest
from at_the_page import CALLING, SHORT_WARP, WELL, Answers, Sitting
from in_a_browser import DESKTOP, ON_ITS_SIDE, PHONE, TABLET, VIEWS, at_rest, opened, shows, step_on
from tapping import MEANT_S, ON_AND_ON, WAYS, Way, a_bounce, taps_twice
from waiting import wait

from assistant.senses.page import client
from assistant.senses.page.page import Page
from assistant.session.events import Kind
from assistant.session.view import ModeName

AREA = """(area) => {
  const node = document.querySelector(area);
  const { left, top, right, bottom } = node.getBoundingClientRect();
  return [left, top, right, bottom];
}"""
Area = tuple[float, float, float, float]


def area(window: Any, which: str) -> Area:
    """Left, top, right and bottom, in pixels; nothing of it is hidden."""
    left, top, right, bottom = window.evaluate(AREA, which)
    assert right > left
    return left, top, right, bottom


def meet(one: Area, other: Area) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def size(one: Area) -> float:
    return (one[2] - one[0]) * (one[3] - one[1])


def test_two_taps_where_one_was_meant_count_once_in_every_mode(chromium: Any, page: Page) -> None:
    """tests/attack/taps.py does it 200 times in each."""
    chance = random.Random(3)
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, PHONE) as window:
        for trial, way in enumerate([*WAYS, *WAYS], 1):
            tapped = taps_twice(window, page, way, trial, a_bounce(chance))
            assert tapped.counted <= tapped.meant, (way, tapped)
            assert tapped.counted, way


@pytest.mark.parametrize("way", ON_AND_ON, ids=lambda way: way.mode)
def test_two_taps_that_are_meant_both_count(chromium: Any, page: Page, way: Way) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, PHONE) as window:
        for trial in range(1, 4):
            tapped = taps_twice(window, page, way, trial, MEANT_S)
            assert tapped.counted == tapped.meant, tapped


@pytest.mark.parametrize("window_size", [PHONE, ON_ITS_SIDE, TABLET, DESKTOP])
def test_what_closes_a_group_is_never_where_next_was_and_looking_is_the_largest_at_an_alarm(
    chromium: Any, page: Page, window_size: tuple[int, int]
) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address, window_size) as window:
        shows(window, "1", "2", "3", "4")
        at_rest(window)
        before = area(window, "#large [data-do=next]")
        for mode in (ModeName.CLOSING, ModeName.OFF, ModeName.COMPLETE):
            page.show(VIEWS[mode], WELL)
            window.wait_for_function("mode => document.body.dataset.mode === mode", arg=mode.value)
            at_rest(window)
            assert not meet(area(window, "#apart"), before), mode
            assert area(window, "#large [data-do=next]") == pytest.approx(before, abs=1.5), mode
            if mode is ModeName.OFF:
                assert window.locator("#apart").inner_text() == "Mistake"
                others = [size(area(window, f"#touch [data-do='{kind}']")) for kind in ("back", "repeat", "resume")]
                assert size(area(window, "#apart")) > max(others)
                assert others[2] == min(others)
        shown = area(window, "#apart")
        window.locator("#apart").tap()
        assert not meet(area(window, "#leave [data-leave=leave]"), shown)


def test_leaving_is_asked_about_by_touch_and_by_key(chromium: Any, page: Page, answers: Answers) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.keyboard.press("q")
        window.get_by_role("button", name="Stay").tap()
        page.show(VIEWS[ModeName.COMPLETE], WELL)
        window.wait_for_function("() => document.body.dataset.mode === 'complete'")
        window.keyboard.press("Space")
        window.get_by_text("Leave this sitting?").wait_for()
        window.keyboard.press("Enter")  # stays
        window.locator("#leave").wait_for(state="hidden")
        assert answers.taken == []
        window.locator("#apart").tap()
        window.locator("#leave").get_by_role("button", name="Leave").tap()
        assert wait(lambda: answers.taken)
    assert [event.kind for _, event in answers.taken] == [Kind.LEAVE]


def test_a_touch_is_shown_as_pending_until_it_is_counted(chromium: Any, page: Page, answers: Answers) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.locator("#large [data-do=next]").tap()
        window.locator("#large [data-do=next].is-pending").wait_for()
        assert wait(lambda: answers.taken)
        page.show(VIEWS[ModeName.CLOSING], WELL)
        shows(window, "EVEN?")
        assert window.locator(".is-pending").count() == 0


def test_what_is_touched_while_the_connection_is_lost_is_dropped_and_said_so(chromium: Any, tmp_path: Path) -> None:
    """And all of the page looks lost: of what it shows nothing is bright."""
    file = tmp_path / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    sitting = Sitting(file, tmp_path / "data")
    with opened(chromium, sitting.address, PHONE) as window:
        shows(window, "1", "2", "3", "4")
        sitting.kill()
        window.get_by_text("Connection lost").wait_for()
        for part in ("header", "main", "#touch"):
            assert float(window.locator(part).evaluate("node => getComputedStyle(node).opacity")) < 0.5
        window.locator("#large [data-do=next]").tap()
        window.get_by_text("What was touched meanwhile was dropped").wait_for()
        assert window.locator(".is-pending").count() == 0


def touch(window: Any, at: float) -> None:
    """A touch of "next" at so many milliseconds of the browser's clock."""
    window.evaluate(
        """(at) => {
          const click = new MouseEvent("click", { bubbles: true, detail: 1 });
          Object.defineProperty(click, "timeStamp", { value: at });
          document.querySelector("#large [data-do=next]").dispatchEvent(click);
        }""",
        at,
    )


def test_a_touch_that_comes_in_late_is_dropped_and_said_so(
    chromium: Any, page: Page, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The network held it up: known by the clock of the page."""
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        monkeypatch.setattr(client, "LATEST_S", 0.3)
        window.wait_for_timeout(600)
        touch(window, window.evaluate("performance.now()") - 500)
        window.get_by_text("What was touched meanwhile was dropped").wait_for()
    assert answers.taken == []


def test_touches_are_dated_by_the_browser_however_long_they_were_under_way(
    chromium: Any, page: Page, answers: Answers
) -> None:
    page.show(CALLING, WELL)
    with opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.wait_for_timeout(3000)  # a few messages, by which the clocks are compared
        began = window.evaluate("performance.now()")
        touch(window, began - 500)
        assert wait(lambda: len(answers.taken) == 1)
        step_on(page, window, 1)
        touch(window, began - 300)
        assert wait(lambda: len(answers.taken) == 2)
    (_, first), (_, second) = answers.taken
    assert second.at - first.at == pytest.approx(0.2, abs=0.05)
