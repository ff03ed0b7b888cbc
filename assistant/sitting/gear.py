"""The gear of a sitting: how to speak, to hear and to show, and the mouth, ears, switches and screens that come of it.

What is not there and was not asked for is done without, and told.
"""

import sys
from collections.abc import Callable
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, Self

from assistant.errors import DeviceMissing, OptionsError, SettingsError
from assistant.logfile import logger
from assistant.meaning import Tell
from assistant.senses.devices import Device
from assistant.senses.ear import Heard, Listener
from assistant.senses.ear.believed import Correction
from assistant.senses.ear.believing import Believer
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.listener import Metered
from assistant.senses.ear.microphone import Ear, Microphone
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.numbers import EarForNumbers
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.room import GRAVE, LESSON, SoundFault, advice
from assistant.senses.mouth import LOUDEST, SPEED, VOLUME, Mouth
from assistant.senses.mouth.loudspeaker import open_mouth
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.pedal import BOUNCE_S, PedalSource
from assistant.senses.pedal.evdev_pedal import EvdevPedal, TypingKeypad
from assistant.senses.pedal.keys import Keyboard, LiveKeys
from assistant.senses.pedal.settings import Pedal, keypad_file, load_pedal, settings_file
from assistant.senses.portaudio import DEVICE, use_echo_canceller
from assistant.senses.screen import Inviting, Screen, at_a_terminal
from assistant.senses.screen.lines import Lines
from assistant.sitting.loop import MICROPHONE, Loop
from assistant.sitting.pages import listen_by_page
from assistant.words.language import Language, UntaughtEar

if TYPE_CHECKING:
    from assistant.senses.page.page import Page

NIGHT_VOLUME, NIGHT_CAP = -24, -18  # dB
_log = logger(__name__)


@dataclass(frozen=True, slots=True)
class Gear:
    """How to speak, to hear and to show; an option each of the commands for a job."""

    mute: bool = False
    voice: str | None = None
    speed: int = SPEED
    volume: int = VOLUME
    volume_cap: int = LOUDEST
    night: bool = False
    loudspeaker: str | int | None = None
    deaf: bool = False
    ear: UntaughtEar | None = None
    model: Path | None = None
    weaver: str | None = None  # whose taught words are heard
    sits: str = ""  # who sits at the loom, as the record tells it
    microphone: str | int | None = None
    headset: bool = False
    echo_canceller: bool = False
    plain: bool = False
    pace: float | None = None
    usual_pace: float | None = None  # where neither that nor the record says
    stand_up: float = 0.0  # minutes; 0 for never
    page: bool = False
    share: bool = False
    new_address: bool = False
    pedal: bool = True  # that was taught
    bounce: float = BOUNCE_S  # seconds

    @property
    def loudest(self) -> int:
        """The volume that is never exceeded, in dB."""
        return min(self.volume_cap, NIGHT_CAP) if self.night else self.volume_cap

    @property
    def at_first(self) -> int:
        """The volume to begin with, in dB."""
        return min(self.volume, NIGHT_VOLUME) if self.night else self.volume

    @property
    def ear_wished(self) -> bool:
        """An ear or a microphone was asked for, so that going on without one is not what is wanted."""
        return bool(self.ear or self.model or self.weaver) or self.microphone is not None

    def through_echo_canceller(self) -> Self:
        """Through the system's, after which little of the own voice is left, as with a headset.

        Raises DeviceMissing where there is none, OptionsError where a device was asked for.
        """
        if self.microphone is not None or self.loudspeaker is not None:
            raise OptionsError("--echo-canceller chooses both devices; leave out --microphone and --loudspeaker")
        use_echo_canceller()
        return replace(self, headset=True, microphone=DEVICE, loudspeaker=DEVICE)


class Hears(Protocol):
    """What an ear needs of a loop, of a sitting or of writing in."""

    def hear(self, heard: Heard) -> None:
        """Something was said."""

    def notify(self, sense: str, notice: Tell | None) -> None:
        """A sense has something to tell the weaver; None takes it back."""

    def announce(self, sense: str, phrase: str) -> None:
        """Say a phrase of the language once the mouth has finished."""

    def watch(self, name: str, device: Device) -> None:
        """Look after a device from now on."""

    def ask(self, asker: Callable[[int, bool, bool], None]) -> None:
        """Let a sense know, from now on, up to which number one is asked for, and whether rows are read."""

    def tidy(self, too: Callable[[], None]) -> None:
        """Do this, too, from now on, when nobody waits for anything."""


def mouth_of(gear: Gear, language: Language) -> tuple[Mouth, Tell | None]:
    """A loudspeaker, or silence, with what there is to tell about it; it is open."""
    return open_mouth(
        language.voice,
        gear.voice,
        gear.loudspeaker,
        gear.speed,
        gear.at_first,
        gear.loudest,
        mute=gear.mute,
        elsewhere=gear.page or gear.share,
        open_ear=EarForNumbers,
    )


def listen(
    loop: Hears, mouth: Mouth, gear: Gear, language: Language, senses: ExitStack, page: "Page | None" = None
) -> bool:
    """Listen, at the computer or through a page, and post what is heard; returns whether it does, at the computer.

    Raises DeviceMissing where what was asked for is not there.
    """
    if gear.deaf:
        return False

    def warn(fault: SoundFault | None, phrase: str) -> None:
        """On the screen as long as it lasts, and spoken."""
        name = Tell("on a page") if ear.by_page else ear.name
        loop.notify("room", Tell("sound of microphone", name=name, advice=advice(fault)) if fault else None)
        if phrase:
            loop.announce("room", phrase)

    try:
        engine = open_engine(language, gear.model, gear.ear, gear.weaver)
        listener = Listener(engine, _own_voice(loop, mouth, gear), _corrected(loop, engine))
        grave = GRAVE if gear.weaver else GRAVE | LESSON
        ear, missing = _ear(Metered(listener, warn, grave), mouth, gear, page)
    except DeviceMissing as lacking:
        if gear.ear_wished:
            raise
        loop.notify(MICROPHONE, Tell("not listening", why=lacking.tell))
        return False
    senses.enter_context(closing(ear))
    if isinstance(ear, Microphone):
        loop.watch(MICROPHONE, ear)
    else:
        loop.notify(MICROPHONE, missing)
    if page and isinstance(loop, Loop):
        listen_by_page(page, ear, loop)
    loop.ask(lambda largest, rows, checked: listener.expect(largest, rows))

    def hear(heard: Heard) -> None:
        _log.debug("heard %s, sure to %.2f, after %.2f s", heard.kind, heard.score, heard.decided_s - heard.word_end_s)
        if heard.kind:
            mouth.utter(())  # a command cuts the mouth off, whatever comes of it
        loop.hear(heard)

    ear.start(hear)
    return missing is None


def _ear(metered: Metered, mouth: Mouth, gear: Gear, page: "Page | None") -> tuple[Ear[Heard], Tell | None]:
    """At a microphone of the computer's; where it has none, for a page alone, with the reason."""
    try:
        return Microphone(metered, mouth.speaking, gear.microphone), None
    except DeviceMissing as missing:
        if page is None or gear.microphone is not None:
            raise
        return Ear(metered, mouth.speaking), Tell("not listening", why=missing.tell)


def _corrected(loop: Hears, engine: WordEngine) -> Callable[[Correction], None]:
    """What becomes of a word that had to be said again."""
    if not (isinstance(engine, NeuralEngine) and engine.taught):
        return lambda correction: None
    believer = Believer(engine, engine.taught, lambda told: loop.notify("corrections", told))
    loop.tidy(believer.learn)
    return believer.take


def _own_voice(loop: Hears, mouth: Mouth, gear: Gear) -> OwnVoice | None:
    if not isinstance(mouth, Speaker):
        return None

    def noticed() -> None:
        loop.notify("headset", Tell("voice leaks"))
        loop.announce("headset", "own voice")

    return OwnVoice(mouth.played, leaks=not gear.headset, noticed=noticed)


def switches(
    loop: Loop, page: "Page | None", senses: ExitStack, taught: bool = True
) -> tuple[LiveKeys, list[EvdevPedal]]:
    """The keys, here and on the page, and a pedal and a keypad that were `taught`; what is pressed is posted."""
    pedal = known_pedal(loop, "pedal", settings_file) if taught else None
    keypad = known_pedal(loop, "keypad", keypad_file) if taught else None
    typed = pedal.switches if pedal and pedal.source is PedalSource.TERMINAL else {}
    if page:
        page.start(loop, typed, loop.clock)
    by_hand = sys.stdin.isatty()  # else keys come on lines of their own, as from a program, and each is meant
    keys = LiveKeys(Keyboard(typed, held=by_hand), loop.press if by_hand else loop.post, loop.clock)
    plugged = [
        EvdevPedal(known, loop.press, partial(loop.notify, "keypad" if known.keypad else "pedal"), clock=loop.clock)
        for known in (pedal, keypad)
        if known and known.source is PedalSource.EVDEV
    ]
    pressed: list[LiveKeys | EvdevPedal] = [keys, *plugged]
    for device in pressed:
        senses.enter_context(closing(device))
        loop.ask(partial(_prepare, device))
        device.start()
    return keys, plugged


def _prepare(device: LiveKeys | EvdevPedal, largest: int, rows: bool, checked: bool) -> None:
    device.counting(largest > 0 and not rows, checked)
    device.reading(largest if rows else 0)


def typing_keypad(loop: Hears, typed: Callable[[str], None], leave: Callable[[], None], senses: ExitStack) -> None:
    """A keypad that was taught types its keys, by their names, whatever window has the keyboard."""
    known = known_pedal(loop, "keypad", keypad_file)
    if known and known.source is PedalSource.EVDEV:
        notice = partial(loop.notify, "keypad")
        keypad = EvdevPedal(known, lambda event: leave(), notice, presses=TypingKeypad(typed))
        senses.enter_context(closing(keypad))
        keypad.start()


def known_pedal(loop: Hears, sense: str, file: Callable[[], Path]) -> Pedal | None:
    """What was taught, None where nothing was or it cannot be read, which is told."""
    try:
        return load_pedal(file())
    except SettingsError as error:
        loop.notify(sense, error.tell)
        return None


def page_of(gear: Gear, screen: Screen, language: Language, senses: ExitStack) -> "Page | None":
    """The page, where it is wished for, once the weaver has seen its address. Raises DeviceMissing, OptionsError."""
    if gear.new_address and not gear.share:
        raise OptionsError("--new-address goes with --share")
    if not (gear.page or gear.share):
        return None
    from assistant.senses.page.page import open_page

    wait = not isinstance(screen, Lines)
    return senses.enter_context(closing(open_page(language, gear.share, gear.new_address, wait)))


def screen_of(gear: Gear, language: Language) -> Inviting:
    """The board, or plain lines where there is no terminal for it."""
    if gear.plain or not at_a_terminal():
        return Lines(language)
    from assistant.senses.screen.terminal import Board

    return Board(language)
