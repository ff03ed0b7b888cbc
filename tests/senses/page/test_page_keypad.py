"""The page worked by a numeric keypad, or by a presenter, and what it shows when asked what can be said or pressed."""

from collections.abc import Callable
from typing import Any

import pytest
from at_the_page import WELL, session
from in_a_browser import PHONE, SMALLEST, TABLET, opened
from waiting import wait

from assistant.senses.page.page import Page
from assistant.session.events import Event, Kind
from assistant.session.modes import ModeName
from assistant.session.view import Status
from assistant.words.language import codes, load

CODES = {
    **{"/": "NumpadDivide", "*": "NumpadMultiply", "-": "NumpadSubtract", "+": "NumpadAdd"},
    **{".": "NumpadDecimal", "enter": "NumpadEnter"},
}


class Sitting:
    """A session whose answers come from a page."""

    def __init__(self, page: Page) -> None:
        self.session, self.page, self.kinds = session(), page, list[Kind]()
        self.show("")

    def show(self, heard: str | Event) -> None:
        self.page.show(self.session.view(), Status(hears=True, speaks=True, heard=heard))

    def bounced(self, event: Event, finger: bool) -> bool:
        return False

    def answer(self, step: int, event: Event, finger: bool, refused: Callable[[], None]) -> None:
        self.session.handle(event)
        self.kinds.append(event.kind)
        self.show(event)

    def press(self, window: Any, locked: bool, *keys: str) -> None:
        """Each key, told apart by its place alone where Num Lock is off."""
        for key in keys:
            code = CODES.get(key, f"Numpad{key}")
            if locked and key.isdecimal():
                window.evaluate(TYPE, {"code": code, "key": key})
            else:
                window.keyboard.press(code)

    def until(self, window: Any, steps: int) -> None:
        """The page shows what came of it."""
        assert wait(lambda: len(self.kinds) == steps)
        window.wait_for_function(
            "step => Number(document.getElementById('hints').dataset.step) === step", arg=self.session.step
        )


TYPE = "way => document.body.dispatchEvent(new KeyboardEvent('keydown', {...way, bubbles: true, cancelable: true}))"


@pytest.fixture
def sitting(page: Page) -> Sitting:
    sitting = Sitting(page)
    page.start(sitting, {})
    return sitting


@pytest.mark.parametrize("locked", [True, False], ids=["with Num Lock", "without"])
def test_a_group_is_threaded_found_short_and_set_right(chromium: Any, sitting: Sitting, locked: bool) -> None:
    acts: list[tuple[tuple[str, ...], Kind]] = [
        (("enter",), Kind.NEXT),
        (("/", "1"), Kind.SHORT),
        (("2", "enter"), Kind.NUMBER),
        (("/", "4"), Kind.REDO),
        (("0",), Kind.NEXT),
        (("*",), Kind.BACK),
        (("7",), Kind.NUMBER),
        (("+",), Kind.REPEAT),
        (("/", ".",), Kind.GO_TO),
        (("2", "enter"), Kind.NUMBER),
        (("/", "9"), Kind.RESUME),
    ]  # fmt: skip
    with opened(chromium, sitting.page.door.address, TABLET) as window:
        sitting.until(window, 0)
        for done, (keys, _) in enumerate(acts, 1):
            sitting.press(window, locked, *keys)
            sitting.until(window, done)
        sitting.press(window, locked, "/", "/", "enter")
        window.locator("#leave[open]").wait_for()
        sitting.press(window, locked, "*")
        window.locator("#leave[open]").wait_for(state="detached")
        sitting.press(window, locked, "/", "/", "enter", "0")
        sitting.until(window, len(acts) + 1)
    assert sitting.kinds == [*(kind for _, kind in acts), Kind.LEAVE]
    assert sitting.session.mode is ModeName.CALLING


def test_a_presenter_goes_on_and_back_but_never_through_the_list(chromium: Any, sitting: Sitting) -> None:
    with opened(chromium, sitting.page.door.address, TABLET) as window:
        sitting.until(window, 0)
        for done, key in enumerate(("PageDown", "ArrowLeft", "ArrowRight"), 1):
            window.keyboard.press(key)
            sitting.until(window, done)
        while sitting.session.mode is not ModeName.COMPLETE:
            sitting.answer(sitting.session.step, Event(Kind.NEXT, 2000.0, source="key"), False, lambda: None)
        sitting.until(window, done := len(sitting.kinds))
        window.keyboard.press("PageDown")
        window.keyboard.press("NumpadMultiply")
        sitting.until(window, done + 1)
    assert sitting.kinds[:3] == [Kind.NEXT, Kind.BACK, Kind.NEXT]
    assert sitting.kinds[-1] is Kind.BACK


@pytest.mark.parametrize("size", [SMALLEST, PHONE, TABLET], ids=str)
def test_what_can_be_said_or_pressed_is_shown_when_asked_and_goes_away(
    chromium: Any, sitting: Sitting, size: tuple[int, int]
) -> None:
    with opened(chromium, sitting.page.door.address, size) as window:
        sitting.until(window, 0)
        sheet = window.locator("#hints")
        assert not sheet.is_visible()
        sitting.press(window, False, ".")
        sitting.until(window, 1)
        rows = sheet.locator("tbody tr").all_inner_texts()
        assert [row.split("\t") for row in rows[:3]] == [
            *(["Next", "Enter, space"], ["Repeat", "+, r"], ["Finished", "/7, d"]),
        ]
        box = sheet.bounding_box()
        assert box["x"] >= 0
        assert box["y"] >= 0
        assert box["x"] + box["width"] <= size[0]
        assert box["y"] + box["height"] <= size[1]
        sheet.get_by_role("button", name="Close").tap()
        assert not sheet.is_visible()
        window.locator("#further [data-do=help]").tap()
        sitting.until(window, 2)
        assert sheet.is_visible()
        sitting.press(window, False, "+")
        sitting.until(window, 3)
        assert not sheet.is_visible()


@pytest.mark.parametrize("code", codes())
def test_the_sheet_is_told_in_each_language(code: str) -> None:
    from assistant.senses.page.state import now
    from assistant.senses.screen.words import ScreenWords

    asked = Status(hears=True, speaks=True, heard=Event(Kind.HELP, 0.0))
    words, view = ScreenWords(load(code)), session(Kind.NEXT).view()
    rows: Any = now(words, view, asked)["hints"]
    assert len(rows) == len(view.hints)
    assert rows[0] == {
        "label": words.glossary.label("even"),
        "say": load(code).commands["next"][0],
        "press": rows[0]["press"],
    }
    assert now(words, view, WELL)["hints"] == []
