"""What every mouth with a voice does: what is at hand is played at once, the rest is rendered in the background."""

import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from assistant.errors import DeviceMissing, VoiceFailed, VoiceMissing, VoiceSilent
from assistant.meaning import Tell
from assistant.senses.mouth import FASTEST, LOUDEST, SLOWEST, SOFTEST, SPEED, VOLUME
from assistant.senses.mouth.clips import PAUSE_S, Shelf, Speech, default_folder
from assistant.senses.mouth.player import BLOCK, MOUTH_RATE, SILENCE, Outlet, Player, Samples
from assistant.senses.mouth.proof import MOST, NumberEar, Proof
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import Voice, choose
from assistant.session.events import Adjust, Knob, Sound
from assistant.words.language import codes, load
from assistant.words.speech import Part, Say

REST_S = 3.0  # in which nothing was asked of the mouth, before it listens to one of its numbers
TRIES = 2  # to render a text, each time it is wanted
SPEED_NOTCH = 15  # words a minute
VOLUME_NOTCH = 3  # dB
_PAUSE: Samples = np.zeros(round(PAUSE_S * MOUTH_RATE), dtype=np.float32)


def speech_of(box: Voicebox, voice: Voice, speed: int, folder: Path | None = None) -> Speech:
    """The clips of a voice, in this folder or where they are kept; with numbers in words, if its language is known."""
    numbers = load(voice.family).numbers if voice.family in codes() else ()
    shelf = Shelf(folder or default_folder(), box.engine_of(voice.id), voice.id)
    return Speech(box, voice, shelf, speed, numbers)


def proofs(wanted: str, speed: int, open_ear: Callable[[str], NumberEar]) -> Iterator[Proof]:
    """What an ear of its language makes of each number that a voice says, once it is rendered as well as may be.

    Raises DeviceMissing; VoiceMissing where there is no ear for the language.
    """
    with Voicebox() as box:
        voice = choose(box.voices(), wanted)
        if voice.family not in codes():
            what = "no ear knows the language of {voice!r} ({language}); choose a voice of one of these: {known}"
            raise VoiceMissing(what, voice=voice.name, language=voice.language, known=", ".join(codes()))
        speech, ear = speech_of(box, voice, speed), open_ear(voice.family)
        for number, text in enumerate(load(voice.family).numbers[: MOST + 1]):
            yield speech.proof(text, speed) or speech.prove(text, number, speed, ear)


class Speaker:
    """Gives what is to be said to an outlet, which may be another from any moment on.

    One thread renders one text at a time, first what is to be said now, then what was prepared, and after each hands
    to the outlet whatever has become ready, in order. A text that fails TRIES times is stood in for by a tone, and
    tried again when it is wanted again. For an outlet that is mute nothing is rendered. Where nothing is to be done and
    an ear is given, it hears one number after the other of those prepared, and what it does not understand is rendered
    otherwise, for the next time.
    """

    def __init__(
        self,
        outlet: Outlet,
        voice: str | None = None,
        *,
        speed: int = SPEED,
        volume: int = VOLUME,
        loudest: int = LOUDEST,
        folder: Path | None = None,
        open_ear: Callable[[str], NumberEar] | None = None,
    ) -> None:
        """Open a voice by id, name or language; it never gets louder than `loudest`. Raises DeviceMissing.

        `open_ear`: of a language, by its code.
        """
        self._box = Voicebox()
        try:
            chosen = choose(self._box.voices(), voice)
        except DeviceMissing:
            self._box.close()
            raise
        self._speech = speech_of(self._box, chosen, clamp(speed, SLOWEST, FASTEST), folder)
        self._open_ear = partial(open_ear, chosen.family) if open_ear and chosen.family in codes() else None
        self._ear: NumberEar | None = None
        self._proved: set[tuple[str, int]] = set()  # numbers that need not be listened to at a speed
        self._loudest = clamp(loudest, SOFTEST, LOUDEST)
        self._volume = clamp(volume, SOFTEST, self._loudest)
        self.desk = self._outlet = outlet  # the computer's own, beside any other
        self._outlet.gain = gain(self._volume)
        self._waiting: deque[Say | Sound] = deque()  # not yet handed to the outlet
        self._lead = SILENCE  # what goes before the next of them
        self._ahead: dict[str, None] = {}  # texts to have at hand; an ordered set
        self._failures: dict[str, int] = {}  # how often each text failed since it was last wanted
        self._troubles: dict[str, Tell] = {}  # why each text that could not be rendered was not; until it was
        self._closed = False
        self._turn = threading.Condition()
        self._worker = threading.Thread(target=self._work, name="mouth", daemon=True)
        self._worker.start()

    @property
    def trouble(self) -> Tell | None:
        """Why there is a text that the voice cannot say; None once it was rendered, or when there is none."""
        with self._turn:
            return next(reversed(self._troubles.values()), None)

    @property
    def volume(self) -> int:
        """In dB below the loudest."""
        return self._volume

    @property
    def speed(self) -> int:
        """In words a minute."""
        return self._speech.speed

    def utter(self, sounds: Sequence[Say | Sound]) -> None:
        """Cut off whatever is being said and say these, in order, with a pause between them."""
        with self._turn:
            self._outlet.cut()
            if self._outlet.mute:
                return
            parts = [part for sound in sounds if isinstance(sound, Say) for part in sound.parts]
            self._speech.learn(parts)
            self._speech.say(part.text for part in parts)
            self._want(parts)
            self._waiting, self._lead = deque(sounds), SILENCE
            self._hand_over()

    def prepare(self, parts: Iterable[Part]) -> None:
        """Render these ahead, those on the beat first; every part on the beat should be named, for they set it."""
        ordered = sorted(parts, key=lambda part: not part.beat)
        with self._turn:
            self._speech.learn(ordered)
            self._want(ordered)
            self._ahead |= {part.text: None for part in ordered}
            self._speech.stock(self._ahead)
            self._turn.notify_all()

    def adjust(self, adjust: Adjust) -> None:
        """Turn the volume or the speed by so many notches; the speed holds from the next utterance on."""
        with self._turn:
            if adjust.what is Knob.VOLUME:
                self._volume = clamp(self._volume + adjust.notches * VOLUME_NOTCH, SOFTEST, self._loudest)
                self._outlet.gain = gain(self._volume)
            else:
                self._speech.speed = clamp(self._speech.speed + adjust.notches * SPEED_NOTCH, SLOWEST, FASTEST)
                self._turn.notify_all()

    def speaking(self) -> bool:
        """Whether anything is still to be rendered or played."""
        with self._turn:
            return self._outlet.alive() and (bool(self._waiting) or self._outlet.sounding())

    def sound_at(self, outlet: Outlet) -> None:
        """Let what is left, and all that is said from now on, sound there."""
        with self._turn:
            rest, self._outlet = self._outlet.rest(), outlet
            outlet.gain = gain(self._volume)
            if outlet.mute:
                self._waiting.clear()
            elif len(rest):
                outlet.play(rest)
            self._turn.notify_all()

    def played(self) -> Samples:
        """What was played, silence included, since this was last asked: for an ear that listens meanwhile."""
        return self._outlet.gone()

    def close(self) -> None:
        """Fall silent for good, end the voice engine and let go of the computer's own outlet."""
        with self._turn:
            self._closed = True
            self._waiting.clear()
            self._turn.notify_all()
        self._outlet.cut()
        self._box.interrupt()
        self._worker.join()
        self._box.close()
        self.desk.shut()

    def _want(self, parts: Iterable[Part]) -> None:
        """Let what failed before be tried again."""
        for part in parts:
            self._failures.pop(part.text, None)

    def _missing(self, texts: Iterable[str]) -> str | None:
        """The first of these that has no clip and has not failed too often."""
        return self._speech.lacks(text for text in texts if self._failures.get(text, 0) < TRIES)

    def _hand_over(self) -> None:
        """Give the outlet all that is ready; what cannot be said is stood in for."""
        while self._waiting and self._missing(self._speech.needs(self._waiting[0])) is None:
            sound = self._waiting.popleft()
            self._outlet.play(np.concatenate([self._lead, self._speech.samples(sound)]))
            self._lead = _PAUSE
        self._turn.notify_all()

    def _next(self) -> str | None:
        """The text to render next."""
        if self._outlet.mute:
            return None
        urgent = self._speech.needs(self._waiting[0]) if self._waiting else []
        return self._missing([*urgent, *self._ahead])

    def _work(self) -> None:
        while True:
            with self._turn:
                rest = REST_S if self._unproved() else None
                self._turn.wait_for(lambda: self._closed or self._next() is not None, rest)
                text, unproved, speed = self._next(), self._unproved(), self._speech.speed
            if self._closed:
                return
            if text is not None:
                self._render(text, speed)
            elif unproved is not None and not self._outlet.sounding():
                self._prove(unproved, speed)

    def _render(self, text: str, speed: int) -> None:
        """Have one clip more, or one failure more: a failure is never kept as a clip."""
        try:
            clip = self._speech.render(text, speed)
        except DeviceMissing as error:
            with self._turn:
                self._fail(text, error)
                self._hand_over()
            return
        with self._turn:
            self._failures.pop(text, None)
            self._troubles.pop(text, None)
            self._speech.hold(text, speed, clip)
            self._hand_over()

    def _unproved(self) -> str | None:
        """The next number to listen to, at rest."""
        if self._open_ear is None or self._outlet.mute:
            return None
        at = self._speech.speed
        numbers = (text for text in self._ahead if self._speech.number(text) is not None)
        return next((text for text in numbers if (text, at) not in self._proved), None)

    def _prove(self, text: str, speed: int) -> None:
        """Have one number less to listen to."""
        self._proved.add((text, speed))
        with suppress(DeviceMissing):
            number = self._speech.number(text)
            if number is not None and self._open_ear and self._speech.proof(text, speed) is None:
                self._ear = self._ear or self._open_ear()
                self._speech.prove(text, number, speed, self._ear)

    def _fail(self, text: str, error: DeviceMissing) -> None:
        """An engine that hung was asked again already, and is not waited for twice."""
        self._failures[text] = TRIES if isinstance(error, VoiceSilent) else self._failures.get(text, 0) + 1
        self._troubles.pop(text, None)  # to be the last
        if not self._closed:
            silent = Tell("Two knocks stand for “{said}”: the voice engine does not answer.", said=text)
            self._troubles[text] = error.meanwhile if isinstance(error, VoiceFailed) else silent


def clamp(value: int, lowest: int, highest: int) -> int:
    """The nearest value allowed."""
    return max(lowest, min(value, highest))


def gain(volume: int) -> float:
    """Decibels -> factor."""
    return float(10 ** (volume / 20))


class Cable(Speaker):
    """An in-memory cable: what is pulled is what a loudspeaker would have played.

    No time passes at the far end while a phrase is rendered, so that what is heard does not depend on the machine.
    """

    def __init__(self, voice: str | None = None, **wished: Any) -> None:
        """As any Speaker."""
        self._player = Player()
        super().__init__(self._player, voice, **wished)

    def pull(self, frames: int) -> Samples:
        """The next block; waits for what is to be said to be rendered."""
        with self._turn:
            self._turn.wait_for(lambda: not self._waiting)
        return self._player.fill(frames)

    def rest(self) -> Samples:
        """All that is still to be heard."""
        blocks = [SILENCE]
        while self.speaking():
            blocks.append(self.pull(BLOCK))
        return np.concatenate(blocks)
