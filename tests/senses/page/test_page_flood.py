"""A page that floods is put off, and not obeyed."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from at_the_page import CALLING, ENGLISH, WELL, done, joined
from waiting import wait
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import ClientConnection

from assistant.senses.page import page as pages
from assistant.senses.page.allowance import Allowance
from assistant.senses.page.page import Page
from assistant.session.events import Event

OLD, NOW, COMING = (done(CALLING.step + more, "repeat") for more in (-1, 0, 1))


class Inbox:
    """Keeps what is given to a loop that is busy, and takes nothing."""

    def __init__(self) -> None:
        self.waiting: list[int] = []

    def bounced(self, event: Event, finger: bool) -> bool:
        return False

    def answer(self, step: int, event: Event, finger: bool, refused: Callable[[], None]) -> None:
        self.waiting.append(step)


@pytest.fixture
def inbox() -> Inbox:
    return Inbox()


@pytest.fixture
def busy(inbox: Inbox) -> Iterator[Page]:
    """A page whose loop is busy."""
    page = Page(ENGLISH)
    page.start(inbox, {})
    page.show(CALLING, WELL)
    yield page
    page.close()


def until(browser: ClientConnection, text: str) -> bool:
    """Whether this is told soon."""
    return any(text in str(browser.recv(timeout=20)) for _ in range(10))


def poured(browser: ClientConnection) -> None:
    """A thousand old answers, and then all that is told up to a heartbeat."""
    for _ in range(1000):
        browser.send(OLD)
    while json.loads(browser.recv(timeout=20)).keys() != {"at"}:
        pass


def test_no_more_than_one_answer_waits_before_a_key(busy: Page, inbox: Inbox) -> None:
    """Of three browsers; each is told that its other ones were not counted."""
    for _ in range(3):
        with joined(busy.door) as browser:
            for message in [OLD, NOW, COMING, NOW] * 5:
                browser.send(message)
            assert until(browser, '"uncounted":"late"')
    assert inbox.waiting == [CALLING.step]


def test_more_than_hands_can_send_is_cut_off(busy: Page, inbox: Inbox) -> None:
    with joined(busy.door) as browser, pytest.raises(ConnectionClosed):
        poured(browser)
    with joined(busy.door) as browser:
        browser.send(NOW)
        assert wait(lambda: inbox.waiting == [CALLING.step])


def test_answers_that_come_sooner_than_hands_are_do_not_count(monkeypatch: pytest.MonkeyPatch, inbox: Inbox) -> None:
    monkeypatch.setattr(pages, "TOUCHES", (1, 0.001))
    page = Page(ENGLISH)
    page.start(inbox, {})
    page.show(CALLING, WELL)
    with joined(page.door) as browser:
        browser.send(NOW)
        assert wait(lambda: inbox.waiting == [CALLING.step])
        page.show(replace(CALLING, step=CALLING.step + 1), WELL)
        browser.send(COMING)
        assert until(browser, '"uncounted":"late"')
    page.close()
    assert inbox.waiting == [CALLING.step]


def test_who_joins_again_and_again_is_put_off(monkeypatch: pytest.MonkeyPatch, inbox: Inbox) -> None:
    monkeypatch.setattr(pages, "JOINING", (2, 0.001))
    page = Page(ENGLISH)
    page.start(inbox, {})
    for _ in range(2):
        with joined(page.door):
            pass
    with pytest.raises(InvalidStatus), joined(page.door):
        pass
    page.close()


def test_an_allowance_is_spent_and_comes_back() -> None:
    now = [100.0]
    allowance = Allowance(3, 2, lambda: now[0])
    assert [allowance.spend() for _ in range(4)] == [0, 0, 0, 0.5]
    now[0] += 0.5
    assert [allowance.spend(), allowance.spend(2)] == [0, 1.0]
    now[0] += 1000
    assert [allowance.spend(3), allowance.spend(0.5)] == [0, 0.25]
