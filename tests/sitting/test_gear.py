"""The gear of a sitting: what is not there is done without and told, unless it was asked for."""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest
from memory import Memory

from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.senses.ear.believed import Correction
from assistant.senses.ear.clip import clip_of
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.taught import Taught
from assistant.senses.ear.utterance import Utterance
from assistant.senses.ear.words import TrainedWords
from assistant.senses.mouth import SilentMouth
from assistant.senses.portaudio import DEVICE
from assistant.senses.screen.lines import Lines
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.sitting import gear as of_gear
from assistant.sitting.gear import Gear, listen, mouth_of, page_of, screen_of, switches
from assistant.sitting.loop import Loop
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.wording import Wording

ENGLISH = load("en")
WISHES = (Gear(microphone="USB"), Gear(microphone=0), Gear(model=Path("model")), Gear(weaver="Aino"))
WARP = loads(b"{title: Gear, shafts: 2, groups: [{name: only, thread: 1 2}]}", "gear.yaml")


@pytest.fixture(autouse=True)
def nothing_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    monkeypatch.setattr("assistant.senses.pedal.settings.settings_file", lambda: tmp_path / "pedal.yaml")


@pytest.fixture
def senses() -> Iterator[ExitStack]:
    with ExitStack() as senses:
        yield senses


def missing(*_: object) -> NoReturn:
    raise DeviceMissing("no microphone found; plug one in")


def told(loop: Loop, screen: Memory) -> tuple[Tell, ...]:
    """What stands on the screen once the weaver has sat down and left."""
    loop.post(Event(Kind.LEAVE, time.time(), source="key"))
    loop.run()
    return screen.shown[-1][1].notices


def a_loop() -> tuple[Loop, Memory]:
    screen = Memory()
    return Loop(Session(WARP), Wording(ENGLISH, "thread"), lambda event: None, SilentMouth(), screen), screen


def test_at_night_it_begins_softly_and_stays_so() -> None:
    assert (Gear(volume=-6, volume_cap=-2).at_first, Gear(volume=-6, volume_cap=-2).loudest) == (-6, -2)
    assert (Gear(volume=-6, night=True).at_first, Gear(volume=-6, night=True).loudest) == (-24, -18)
    assert (Gear(volume=-30, night=True).at_first, Gear(volume_cap=-20, night=True).loudest) == (-30, -20)


def test_mute_is_a_silent_mouth_with_nothing_to_tell() -> None:
    mouth, notice = mouth_of(Gear(mute=True), ENGLISH)
    assert isinstance(mouth, SilentMouth)
    assert notice is None


def test_a_microphone_that_is_not_there_is_done_without_and_told(
    monkeypatch: pytest.MonkeyPatch, senses: ExitStack
) -> None:
    monkeypatch.setattr(of_gear, "open_engine", missing)
    loop, screen = a_loop()
    listen(loop, SilentMouth(), Gear(), ENGLISH, senses)
    assert told(loop, screen) == (Tell("not listening", why=Tell("no microphone found; plug one in")),)
    assert not screen.shown[-1][1].hears


@pytest.mark.parametrize("gear", WISHES)
def test_one_that_was_asked_for_and_is_not_there_is_an_error(
    monkeypatch: pytest.MonkeyPatch, senses: ExitStack, gear: Gear
) -> None:
    monkeypatch.setattr(of_gear, "open_engine", missing)
    with pytest.raises(DeviceMissing, match="no microphone found"):
        listen(a_loop()[0], SilentMouth(), gear, ENGLISH, senses)


class Again:
    """A listener to whom a word is said again at once."""

    said = Utterance(np.full(16_000, 1000, np.int16), 1.0, 1.5, 1.7)

    def __init__(self, engine: WordEngine, own: OwnVoice | None, corrected: Callable[[Correction], None]):
        corrected(Correction(self.said, self.said, "next", 0))

    def expect(self, largest: int, row: bool = False) -> None:
        pass


class Open:
    """A microphone that is there."""

    name = "microphone"

    def __init__(self, *_: object) -> None:
        pass

    def start(self, on_heard: object) -> None:
        pass

    def alive(self) -> bool:
        return True

    awake = alive

    def close(self) -> None:
        pass


def test_a_word_said_again_is_learnt_in_a_quiet_moment_and_what_cannot_be_kept_is_told(
    monkeypatch: pytest.MonkeyPatch, senses: ExitStack
) -> None:
    words = TrainedWords("en")
    sound = clip_of(Again.said)
    taught = Taught("Aino", (Example("next", sound, Space(words).of([sound])[0]),))
    learnt: list[Taught] = []
    engine = NeuralEngine(ENGLISH, words, taught)
    monkeypatch.setattr(engine, "learn", learnt.append)
    monkeypatch.setattr(of_gear, "open_engine", lambda *_: engine)
    monkeypatch.setattr(of_gear, "Listener", Again)
    monkeypatch.setattr(of_gear, "Microphone", Open)
    loop, screen = a_loop()
    notices: list[tuple[str, Tell | None]] = []
    monkeypatch.setattr(loop, "notify", lambda *notice: notices.append(notice))
    listen(loop, SilentMouth(), Gear(weaver="Aino"), ENGLISH, senses)
    assert (learnt, notices) == ([], [])
    told(loop, screen)
    assert [[each.believed for each in taught.examples] for taught in learnt] == [[False, True]]
    ((sense, notice),) = notices
    assert sense == "corrections"
    assert notice
    assert notice.places["weaver"] == "Aino"


def test_deaf_opens_no_ear(monkeypatch: pytest.MonkeyPatch, senses: ExitStack) -> None:
    monkeypatch.setattr(of_gear, "open_engine", missing)
    loop, screen = a_loop()
    listen(loop, SilentMouth(), Gear(deaf=True, microphone="USB"), ENGLISH, senses)
    assert told(loop, screen) == ()


def test_a_pedal_that_cannot_be_read_is_told_and_keys_go_on(tmp_path: Path, senses: ExitStack) -> None:
    (tmp_path / "pedal.yaml").write_text("{")
    loop, screen = a_loop()
    keys, _ = switches(loop, None, senses)
    keys.press("n", 0.0)
    (notice,) = told(loop, screen)
    assert "pedal.yaml" in str(notice.places)
    assert any(status.heard for _, status in screen.shown)


def test_a_pedal_that_is_not_wished_for_is_not_asked_about(tmp_path: Path, senses: ExitStack) -> None:
    (tmp_path / "pedal.yaml").write_text("{")
    loop, screen = a_loop()
    switches(loop, None, senses, taught=False)
    assert told(loop, screen) == ()


def test_the_echo_canceller_brings_both_devices(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(of_gear, "use_echo_canceller", lambda: None)
    through = Gear(mute=True).through_echo_canceller()
    assert (through.headset, through.microphone, through.loudspeaker, through.mute) == (True, DEVICE, DEVICE, True)
    for gear in (Gear(microphone=1), Gear(loudspeaker="USB")):
        with pytest.raises(Exception, match="--echo-canceller chooses both devices"):
            gear.through_echo_canceller()


def test_without_a_terminal_plain_lines_are_shown_and_no_page_unless_it_is_wished(senses: ExitStack) -> None:
    screen = screen_of(Gear(), ENGLISH)
    assert isinstance(screen, Lines)
    assert page_of(Gear(), screen, ENGLISH, senses) is None
