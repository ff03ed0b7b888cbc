"""One sitting at the loom: opens the journal and the senses, runs the loop, closes them again."""

import sys
import time
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.senses.devices import Devices
from assistant.senses.ear import Heard, Listener
from assistant.senses.ear.listener import Metered
from assistant.senses.ear.microphone import Microphone
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.room import SoundFault, advice
from assistant.senses.mouth import LOUDEST, SPEED, VOLUME, Mouth, SilentMouth
from assistant.senses.mouth.loudspeaker import Loudspeaker, open_mouth
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.pedal.evdev_pedal import EvdevPedal
from assistant.senses.pedal.keys import Keyboard, LiveKeys
from assistant.senses.pedal.settings import Pedal, load_pedal
from assistant.senses.portaudio import DEVICE, abandon, libraries_quiet, rescan, use_echo_canceller
from assistant.senses.screen import Screen, Together
from assistant.senses.screen.lines import Lines
from assistant.session.events import VOICE, Event, Kind
from assistant.session.history import own_pace
from assistant.session.journal import Journal, default_path
from assistant.session.resume import Resumption
from assistant.sitting.loop import LOUDSPEAKER, MICROPHONE, Loop
from assistant.sitting.prepare import prepared
from assistant.warp.passes import Manner, Pass
from assistant.words.language import Language, UntaughtEar
from assistant.words.language import load as load_language
from assistant.words.phrases import Phrases
from assistant.words.wording import Wording

if TYPE_CHECKING:
    from assistant.senses.page.page import Page

LEAKING = "the microphone hears the helper, so it listens only in its pauses; are the headphones plugged in?"
NIGHT_VOLUME, NIGHT_CAP = -24, -18  # dB


@dataclass(frozen=True, slots=True)
class Gear:
    """How to speak, to hear and to show."""

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
    weaver: str | None = None
    microphone: str | int | None = None
    headset: bool = False
    echo_canceller: bool = False
    plain: bool = False
    pace: float | None = None
    stand_up: float = 0.0  # minutes; 0 for never
    page: bool = False
    share: bool = False

    @property
    def loudest(self) -> int:
        """The volume that is never exceeded, in dB."""
        return min(self.volume_cap, NIGHT_CAP) if self.night else self.volume_cap


def sit(file: Path, job: Pass[Any], language: Language, resumption: Resumption, size: int | None, gear: Gear) -> None:
    """Go on with a job from where it was left until the weaver leaves; `size` is that of its calls from now on."""
    if gear.echo_canceller:
        gear = _cancelling(gear)
    if size is not None:
        job.size.checked(size)
    with (
        Journal(default_path()) as journal,
        prepared(journal, file, job, resumption) as (record, session),
        libraries_quiet(),
        ExitStack() as senses,
    ):
        session.remind_to_stand_up(gear.stand_up)
        notices = {"warp": "; ".join(job.cautions(session.warp))}
        mouth = _mouth(language, gear, notices)
        senses.enter_context(closing(mouth))
        screen = _screen(gear, language)
        devices = Devices(rescan, abandon, mouth.speaking)
        page = _page(gear, screen, language, senses)
        shown = Together(screen, page) if page else screen
        words = Wording(language, job.name)
        loop = Loop(session, words, journal.keep(record), mouth, shown, devices)
        if isinstance(mouth, Loudspeaker):
            loop.watch(LOUDSPEAKER, mouth)
        if job.manner is Manner.STEADY and (pace := gear.pace or session.place.pace or own_pace(journal, job.name)):
            loop.keep_pace(pace)
        keys = _switches(loop, page, notices, senses)
        _ears(loop, mouth, language, gear, notices, senses)
        senses.enter_context(closing(devices))
        for sense, text in notices.items():
            loop.notify(sense, text)
        mouth.prepare(words.parts(session.ahead()))
        screen.run(lambda: loop.run(size, language.alike), keys.press)


def _cancelling(gear: Gear) -> Gear:
    """Through the system's echo canceller, after which little of the own voice is left, as with a headset."""
    if gear.microphone is not None or gear.loudspeaker is not None:
        raise DeviceMissing("--echo-canceller chooses both devices; leave out --microphone and --loudspeaker")
    use_echo_canceller()
    return replace(gear, headset=True, microphone=DEVICE, loudspeaker=DEVICE)


def _mouth(language: Language, gear: Gear, notices: dict[str, str]) -> Mouth:
    if gear.mute:
        return SilentMouth()
    volume = min(gear.volume, NIGHT_VOLUME) if gear.night else gear.volume
    mouth, notices[LOUDSPEAKER] = open_mouth(
        language.voice, gear.voice, gear.loudspeaker, gear.speed, volume, gear.loudest
    )
    return mouth


def _ears(loop: Loop, mouth: Mouth, language: Language, gear: Gear, notices: dict[str, str], senses: ExitStack) -> None:
    if gear.deaf:
        return
    told = Phrases(language.phrases, load_language("en").phrases).told

    def warn(fault: SoundFault | None, phrase: str) -> None:
        """On the screen as long as it lasts, and spoken."""
        notice = told(Tell("sound of microphone", name=ear.name, advice=advice(fault))) if fault else ""
        loop.notify("room", notice)
        if phrase:
            loop.announce("room", phrase)

    try:
        engine = open_engine(language, gear.model, gear.ear, gear.weaver)
        listener = Listener(engine, _own_voice(loop, mouth, gear))
        metered = Metered(listener, warn)
        ear = Microphone(metered, mouth.speaking, gear.microphone)
    except DeviceMissing as missing:
        if gear.ear or gear.model or gear.weaver or gear.microphone is not None:
            raise
        notices[MICROPHONE] = f"not listening: {missing}"
        return
    senses.enter_context(closing(ear))
    if engine.lacks:
        notices[MICROPHONE] = told(engine.lacks)
    loop.watch(MICROPHONE, ear)
    loop.ask(listener.expect)

    def hear(heard: Heard) -> None:
        if heard.kind:
            mouth.utter(())  # a command cuts the mouth off, whatever comes of it
        loop.post(_event(heard), heard.word)

    ear.start(hear)


def _own_voice(loop: Loop, mouth: Mouth, gear: Gear) -> OwnVoice | None:
    if not isinstance(mouth, Speaker):
        return None

    def noticed() -> None:
        loop.notify("headset", LEAKING)
        loop.announce("headset", "own voice")

    return OwnVoice(mouth.played, leaks=not gear.headset, noticed=noticed)


def _event(heard: Heard) -> Event:
    return Event(heard.kind or Kind.UNCLEAR, time.time(), heard.number, VOICE, heard.row)


def _switches(loop: Loop, page: "Page | None", notices: dict[str, str], senses: ExitStack) -> LiveKeys:
    """The keys, here and on the page, and the pedal where one was taught."""
    pedal = _pedal(notices)
    typed = pedal.switches if pedal and pedal.source == "terminal" else {}
    if page:
        page.start(loop.answer, typed)
    keys = LiveKeys(Keyboard(typed, held=sys.stdin.isatty()), loop.post)
    devices: list[LiveKeys | EvdevPedal] = [keys]
    if pedal and pedal.source == "evdev":
        devices.append(EvdevPedal(pedal, loop.post, lambda line: loop.notify("pedal", line)))
    for device in devices:
        senses.enter_context(closing(device))
        loop.ask(lambda largest, rows, device=device: device.counting(largest > 0 and not rows))  # type: ignore[misc]
        device.start()
    return keys


def _pedal(notices: dict[str, str]) -> Pedal | None:
    try:
        return load_pedal()
    except DeviceMissing as missing:
        notices["pedal"] = str(missing)
        return None


def _page(gear: Gear, screen: Screen, language: Language, senses: ExitStack) -> "Page | None":
    """The page, where it is wished for, once the weaver has seen its address."""
    if not (gear.page or gear.share):
        return None
    from assistant.senses.page.page import open_page

    return senses.enter_context(closing(open_page(language, gear.share, wait=not isinstance(screen, Lines))))


def _screen(gear: Gear, language: Language) -> Screen:
    if gear.plain or not all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        return Lines(language)
    from assistant.senses.screen.terminal import Board

    return Board(language)
