"""The last state that was shown is the one that browsers are left with."""

import json
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from types import FrameType
from typing import Any

import pytest
from at_the_page import CALLING, WELL, joined
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection

from assistant.senses.page import page as pages
from assistant.senses.page.page import Page


def titles(browser: ClientConnection) -> list[str]:
    """Of every state, until the server hangs up."""
    told = []
    try:
        while True:
            if title := json.loads(browser.recv(timeout=20)).get("now", {}).get("title"):
                told.append(title)
    except ConnectionClosed:
        return told


def interrupted(look: Callable[[], None], meanwhile: Callable[[], None], at: int) -> bool:
    """Let something happen in another thread before the instruction of `look` with this number; False without one."""
    count = 0

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal count
        if frame.f_code is not look.__code__:
            return None
        frame.f_trace_opcodes = True
        if event == "opcode":
            if count == at:
                meanwhile()
            count += 1
        return trace

    before = sys.gettrace()
    sys._getframe().f_trace_opcodes = True  # Python 3.12 asks whether instructions are traced as tracing begins
    sys.settrace(trace)
    try:
        look()
    finally:
        sys.settrace(before)
    return count > at


def test_a_state_shown_while_another_is_taken_is_not_lost(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wherever the other thread cuts in; here the server's thread is this one."""
    looks: list[Callable[[], None]] = []
    monkeypatch.setattr(page._server, "soon", looks.append)
    at = 0
    while True:
        page.show(replace(CALLING, title="before"), WELL)
        more = interrupted(looks.pop(), lambda: page.show(replace(CALLING, title=f"after {at}"), WELL), at)  # noqa: B023
        for look in looks:
            look()
        looks.clear()
        if not more:
            break
        assert f"after {at}" in str(page._shown["now"]["title"])
        at += 1
    assert at > 10


def test_the_last_state_is_sent_before_the_page_closes(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """Though the server has been held up, as on a busy machine, until it was asked to end."""
    monkeypatch.setattr(pages, "LAST_S", 20.0)
    held = threading.Event()

    def hold_up() -> None:
        held.set()
        time.sleep(0.5)

    with joined(page.door) as browser:
        page.show(replace(CALLING, title="first"), WELL)
        while "first" not in browser.recv(timeout=20):
            pass
        page._server.soon(hold_up)
        assert held.wait(20)
        page.show(replace(CALLING, title="last"), WELL)
        page.close()
        assert titles(browser)[-1:] == ["last, thread"]
