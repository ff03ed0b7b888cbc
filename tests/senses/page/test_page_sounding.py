"""Where the mouth sounds: at the computer, or on the page that asked last; nothing is lost with a page, or said twice.

The browsers are guests made by hand: they play nothing, and tell what they like.
"""

import json
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from at_the_page import CALLING, ENGLISH, WELL, Answers, joined
from waiting import wait
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection

from assistant.senses.mouth.player import MOUTH_RATE, Nowhere, Player
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.page.outlet import AHEAD
from assistant.senses.page.page import Page
from assistant.senses.page.standing_in import Became
from assistant.session.events import Adjust, Knob, Sound, Tone
from assistant.words.speech import Part, Say

LONG = Say((Part("This is said for as long as it takes to say all of it, and then for a while more."),))
SHORT = Say((Part("rose"),))


@dataclass
class Guest:
    """A browser: what it was told of sound."""

    browser: ClientConnection
    mouth: Speaker
    turn: int = 0
    gain: float = 0.0
    cuts: int = 0
    sound: bytes = b""
    places: list[str] = field(default_factory=list)

    @property
    def came(self) -> int:
        return len(self.sound) // 2

    def hears(self, until: Any, seconds: float = 20) -> bool:
        """Whether this came true of what it is told, soon."""

        def told() -> bool:
            with suppress(TimeoutError):
                self._take(self.browser.recv(timeout=0.05))
            return bool(until())

        return wait(told, seconds)

    def _take(self, told: str | bytes) -> None:
        if isinstance(told, bytes):
            self.sound += told[4:]
            return
        message = json.loads(told)
        if "turn" in message:
            self.turn, self.sound = message["turn"], b""
        self.gain = message.get("gain", self.gain)
        self.cuts += "cut" in message
        self.places += [message["sound"]["speak"]] if "sound" in message else []

    def speaks(self, turn: int = 0) -> None:
        self.browser.send(json.dumps({"speak": True, "turn": turn}))

    def falls_silent(self) -> None:
        self.browser.send(json.dumps({"speak": False, "turn": self.turn}))

    def plays(self, samples: int) -> None:
        self.browser.send(json.dumps({"played": samples, "got": self.came, "turn": self.turn}))

    def plays_all(self) -> bool:
        def on() -> bool:
            self.plays(self.came)
            return not self.mouth.speaking()

        return self.hears(on)


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("clips")


@pytest.fixture
def became() -> list[Became]:
    return []


@pytest.fixture(params=[Player, Nowhere], ids=["loudspeaker", "no loudspeaker"])
def desk(request: pytest.FixtureRequest) -> Player:
    made: Player = request.param()
    return made


@pytest.fixture
def mouth(desk: Player, clips: Path) -> Iterator[Speaker]:
    with closing(Speaker(desk, "en-us", folder=clips)) as mouth:
        yield mouth


@pytest.fixture
def page(page: Page, mouth: Speaker, became: list[Became]) -> Page:
    page.sound(mouth, became.append)
    page.show(CALLING, WELL)
    return page


@pytest.fixture
def guests(page: Page, mouth: Speaker) -> Iterator[list[Guest]]:
    with ExitStack() as both:
        yield [Guest(both.enter_context(joined(page.door)), mouth) for _ in range(2)]


def begins(guest: Guest) -> None:
    """It sounds there, and the tick that says so was heard."""
    guest.speaks()
    assert guest.hears(lambda: guest.turn and guest.sound)
    assert guest.plays_all()


def test_what_is_said_comes_to_the_page_that_asked_and_to_no_other(
    guests: list[Guest], mouth: Speaker, desk: Player, became: list[Became]
) -> None:
    one, other = guests
    begins(one)
    assert one.places[-1] == "here"
    assert other.hears(lambda: other.places[-1:] == ["other"])
    assert one.gain == pytest.approx(10 ** (mouth.volume / 20), abs=0.001)
    before = one.came
    mouth.utter([SHORT, Sound(Tone.EVEN)])
    assert mouth.speaking()
    assert one.plays_all()
    sound = np.frombuffer(one.sound, np.int16)[before:]
    assert len(sound) > 0.5 * MOUTH_RATE
    assert np.abs(sound).max() > 3000
    mouth.adjust(Adjust(Knob.VOLUME, 100))
    assert one.hears(lambda: one.gain == 1.0), "the cap"
    assert desk.left() == 0
    assert other.sound == b""
    assert became == [Became.HERE]


def test_it_is_speaking_until_the_page_has_told_that_all_was_heard(guests: list[Guest], mouth: Speaker) -> None:
    one = guests[0]
    begins(one)
    before = one.came
    mouth.utter([Sound(Tone.HEARD)])
    assert one.hears(lambda: one.came > before)
    one.plays(one.came - 1)
    assert not wait(lambda: not mouth.speaking(), 0.3)
    one.plays(one.came)
    assert wait(lambda: not mouth.speaking())


def test_the_next_cuts_off_what_is_being_said(guests: list[Guest], mouth: Speaker) -> None:
    one = guests[0]
    begins(one)
    mouth.utter([LONG])
    assert one.hears(lambda: one.came >= AHEAD)
    cuts, before = one.cuts, one.came
    mouth.utter([Sound(Tone.HEARD)])
    assert one.hears(lambda: one.cuts == cuts + 1)
    assert one.hears(lambda: one.came > before), "what comes next waits for no word of the page"
    assert one.plays_all()
    assert one.came - before < AHEAD


def test_another_page_that_takes_over_goes_on_where_the_first_was(guests: list[Guest], mouth: Speaker) -> None:
    one, other = guests
    begins(one)
    mouth.utter([LONG])
    assert one.hears(lambda: one.came >= AHEAD)
    one.plays(AHEAD // 2)
    assert one.hears(lambda: one.came >= AHEAD * 3 // 2)
    first = one.came
    other.speaks()
    assert other.plays_all()
    assert one.hears(lambda: one.turn == 0 and one.places[-1:] == ["other"])
    assert one.came == 0
    assert other.came > first


@pytest.mark.parametrize("how", ["closed", "fell silent"])
def test_with_the_page_lost_the_computer_says_what_was_not_played(
    guests: list[Guest], mouth: Speaker, desk: Player, became: list[Became], how: str
) -> None:
    one = guests[0]
    begins(one)
    mouth.utter([LONG])
    assert one.hears(lambda: one.came >= AHEAD)
    one.plays(one.came - 100)
    assert one.hears(lambda: False, 0.1) is False
    if how == "closed":
        one.browser.close()
    assert wait(lambda: Became.LOST in became, 30)
    if desk.mute:
        assert not mouth.speaking()
    else:
        assert wait(lambda: desk.left() > MOUTH_RATE)
        assert mouth.speaking()
    assert guests[1].hears(lambda: guests[1].places[-1:] == ["computer"])


def test_what_is_being_said_moves_to_the_page_and_back_and_nothing_is_said_twice(
    guests: list[Guest], mouth: Speaker, desk: Player
) -> None:
    if desk.mute:
        pytest.skip("nothing is being said")
    mouth.utter([LONG])
    assert wait(lambda: desk.left() > 0)
    whole = desk.left()
    one = guests[0]
    one.speaks()
    assert one.hears(lambda: one.came == AHEAD)
    faded = desk.left()
    assert faded < 0.01 * MOUTH_RATE
    one.plays(AHEAD)
    assert one.hears(lambda: one.came == 2 * AHEAD)
    one.plays(2 * AHEAD)
    one.falls_silent()
    assert one.hears(lambda: one.places[-1:] == ["computer"])
    assert desk.left() - faded == whole - 2 * AHEAD - faded


def test_a_page_that_was_lost_has_its_turn_back_unless_another_took_over(
    page: Page, guests: list[Guest], mouth: Speaker, became: list[Became]
) -> None:
    one, other = guests
    begins(one)
    one.browser.close()
    assert wait(lambda: became[-1] is Became.LOST)
    with joined(page.door) as browser:
        again = Guest(browser, mouth)
        again.speaks(one.turn)
        assert again.hears(lambda: again.places[-1:] == ["here"])
    begins(other)
    with joined(page.door) as browser:
        again = Guest(browser, mouth)
        again.speaks(one.turn + 1)
        assert not again.hears(lambda: again.turn, 0.5)
        assert again.places == ["other"]
    turn = other.turn
    other.falls_silent()
    assert other.hears(lambda: other.places[-1:] == ["computer"])
    with joined(page.door) as browser:
        again = Guest(browser, mouth)
        again.speaks(turn)
        assert not again.hears(lambda: again.turn, 0.5), "the weaver sent it home"


def test_a_page_where_nothing_can_be_said_is_offered_nothing_and_may_not_ask(answers: Answers) -> None:
    page = Page(ENGLISH)
    page.start(answers, {})
    page.show(CALLING, WELL)
    with closing(page), joined(page.door) as browser:
        browser.send(json.dumps({"speak": True, "turn": 0}))
        with pytest.raises(ConnectionClosed):
            assert "sound" not in str([browser.recv(timeout=20) for _ in range(5)])


def test_nothing_is_rendered_for_nobody(mouth: Speaker, desk: Player, clips: Path) -> None:
    if not desk.mute:
        pytest.skip("the loudspeaker is somebody")
    before = sorted(clips.rglob("*"))
    mouth.prepare([Part("nobody hears this", beat=True)])
    mouth.utter([Say((Part("nor this"),))])
    assert not wait(mouth.speaking, 0.5)
    assert sorted(clips.rglob("*")) == before
    heard = Player()
    mouth.sound_at(heard)
    mouth.utter([Say((Part("but this"),))])
    assert wait(lambda: heard.left() > 0)
