"""Say and Sound -> samples: tones, rendered phrases, and how they are joined with an even beat.

Four tones, and a fifth that stands in for a word, are told apart by contour and rhythm, so that no one needs an ear for
pitch. All lie between 300 and 1,100 Hz, where ageing ears and small loudspeakers still serve. A rendered phrase is
trimmed, levelled (loudness.py), and kept on disk under a name made of all that shaped it.
"""

import hashlib
import io
import json
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant import folders
from assistant.errors import FolderError
from assistant.files import read_whole, write_whole
from assistant.senses.mouth.loudness import levelled
from assistant.senses.mouth.player import MOUTH_RATE, SILENCE, Samples
from assistant.senses.mouth.proof import MOST, RENDERINGS, NumberEar, Proof, Rendering, Understood
from assistant.senses.mouth.voicebox import Voicebox, no_sound
from assistant.senses.mouth.voices import Voice
from assistant.senses.sound import FULL_SCALE, sixteen_bits
from assistant.session.events import Sound, Tone
from assistant.words.speech import Part, Say

ATTACK_S = 0.008
MOST_BYTES = 10_000_000  # of a clip; many minutes
NOTE_LEVEL = 0.12  # of a note, root mean square: about that of the speech


@dataclass(frozen=True, slots=True)
class Note:
    """A note gliding from one pitch to another; partials are the levels of its harmonics."""

    start_hz: float
    end_hz: float
    seconds: float
    rest_s: float = 0.0
    partials: tuple[float, ...] = (1.0,)


_BRIGHT = (1.0, 0.5, 0.4, 0.2)

NOTES = {
    Tone.HEARD: (Note(880, 880, 0.06),),  # one short tick
    Tone.EVEN: (Note(523, 523, 0.11, 0.02), Note(784, 784, 0.24)),  # short, long, a fifth up: settled
    Tone.OFF: (*[Note(620, 620, 0.09, 0.07, _BRIGHT)] * 3, Note(620, 415, 0.4, 0.0, _BRIGHT)),  # three raps, a fall
    Tone.UNCLEAR: (Note(330, 520, 0.28),),  # one slow rise, as a question does
}


STAND_IN = (Note(430, 430, 0.07, 0.05, _BRIGHT), Note(430, 430, 0.07, 0.0, _BRIGHT))  # two quick knocks


@cache
def tone(which: Tone) -> Samples:
    """The samples of a tone; not to be changed."""
    return np.concatenate([_note(note) for note in NOTES[which]])


@cache
def stand_in() -> Samples:
    """What is heard in place of a word that the voice cannot say; not to be changed."""
    return np.concatenate([_note(note) for note in STAND_IN])


def _note(note: Note) -> Samples:
    count = round(note.seconds * MOUTH_RATE)
    phase = 2 * np.pi * np.cumsum(np.linspace(note.start_hz, note.end_hz, count)) / MOUTH_RATE
    wave = sum(level * np.sin(harmonic * phase) for harmonic, level in enumerate(note.partials, start=1))
    sound = wave * _envelope(count)
    sound *= NOTE_LEVEL / np.sqrt(np.mean(sound**2))
    return np.pad(sound, (0, round(note.rest_s * MOUTH_RATE))).astype(np.float32)


def _envelope(count: int) -> Samples:
    """A soft attack, then a fall to nothing."""
    attack = round(ATTACK_S * MOUTH_RATE)
    rise = 0.5 - 0.5 * np.cos(np.linspace(0, np.pi, attack))
    fall = 0.5 + 0.5 * np.cos(np.linspace(0, np.pi, count - attack))
    return np.concatenate([rise, fall]).astype(np.float32)


QUIET = 0.01  # of the peak, 40 dB below it: what is softer, at either end, is silence
MARGIN_S = 0.01  # in which what is cut off fades
CLIP_LOUDNESS = -20.0  # LUFS, of every clip
FORM = 2  # to be raised when any of the above changes, or what is done with it
SEAL_BYTES = 32  # after the FLAC stream, whose own checksums leave out its header: the SHA-256 of all before


def default_folder() -> Path:
    """Where the clips are kept."""
    return folders.cache() / "clips"


def clean(samples: Samples) -> Samples:
    """A clip with the same short margin before and after what is heard, and as loud as every other."""
    loud = np.abs(samples)
    if not loud.any():
        return SILENCE
    heard = np.flatnonzero(loud > QUIET * loud.max())
    margin = round(MARGIN_S * MOUTH_RATE)
    clip = np.pad(samples, margin)[heard[0] : heard[-1] + 1 + 2 * margin]
    fade = 0.5 - 0.5 * np.cos(np.linspace(0, np.pi, margin))
    clip[:margin] *= fade
    clip[-margin:] *= fade[::-1]
    return levelled(clip, CLIP_LOUDNESS, MOUTH_RATE)


@dataclass(frozen=True, slots=True)
class Shelf:
    """The clips of one engine and voice."""

    folder: Path
    engine: str
    voice: str

    def file(self, text: str, speed: int) -> Path:
        """Where the clip of this text at this speed is kept."""
        key = json.dumps([FORM, self.engine, self.voice, speed, text])
        return self.folder / f"{hashlib.sha256(key.encode()).hexdigest()}.flac"

    def find(self, text: str, speed: int) -> Samples | None:
        """The clip, None where there is none."""
        sound = self._whole(text, speed)
        return soundfile.read(io.BytesIO(sound), dtype="float32")[0] if sound else None

    def _whole(self, text: str, speed: int) -> bytes | None:
        """The file of a clip, None where there is none, it is damaged, or another user may have put it there."""
        try:
            if folders.of_another(self.folder):
                return None
            kept = read_whole(self.file(text, speed), MOST_BYTES)
        except OSError:
            return None
        sound, seal = kept[:-SEAL_BYTES], kept[-SEAL_BYTES:]
        return sound if hashlib.sha256(sound).digest() == seal else None

    def proof(self, text: str, speed: int) -> Proof | None:
        """What was heard of a number as its clip has it, None where nothing was."""
        sound = self._whole(text, speed)
        return Proof.read(soundfile.SoundFile(io.BytesIO(sound)).comment) if sound else None

    def keep(self, text: str, speed: int, clip: Samples, proof: Proof | None = None) -> None:
        """Put a clip on the shelf, whole or not at all; a full or locked disk only costs rendering it again."""
        if not len(clip):
            return  # there is no empty FLAC file
        sound = io.BytesIO()
        with soundfile.SoundFile(sound, "w", MOUTH_RATE, 1, format="FLAC", subtype="PCM_16") as file:
            if proof:
                file.comment = proof.text()
            file.write(clip)
        with suppress(OSError, FolderError):
            folders.own(self.folder)
            write_whole(
                self.file(text, speed), sound.getvalue() + hashlib.sha256(sound.getvalue()).digest(), private=True
            )


MOST_PASSING = 8  # clips, of what was said once, or at another speed; wanted again, they are on the shelf
PAUSE_S = 0.12  # between the end of one clip and the start of the next
BEAT_GAP_S = 0.05  # between the end of the longest clip on the beat and the next beat


@dataclass(frozen=True, slots=True)
class Clip:
    """A rendered part of speech."""

    samples: Samples
    beat: bool = False


def beat_of(clips: Sequence[NDArray[Any]]) -> int:
    """The distance from beat to beat, in samples, that has room for every one of these clips."""
    return max((len(clip) for clip in clips), default=0) + round(BEAT_GAP_S * MOUTH_RATE)


def join(clips: Sequence[Clip], beat: int = 0) -> Samples:
    """One after the other with a pause; neighbours on the beat start this many samples apart, or more if need be."""
    beat = max(beat, beat_of([clip.samples for clip in clips if clip.beat]))
    starts = [0]
    for clip, following in pairwise(clips):
        on_beat = clip.beat and following.beat
        starts.append(starts[-1] + (beat if on_beat else len(clip.samples) + round(PAUSE_S * MOUTH_RATE)))
    if not clips:
        return SILENCE
    joined = np.zeros(starts[-1] + len(clips[-1].samples), dtype=np.float32)
    for start, clip in zip(starts, clips, strict=True):
        joined[start : start + len(clip.samples)] = clip.samples
    return joined


class Speech:
    """Holds the clips of one voice, in 16 bits as they are kept: in a sitting they are most of all it holds.

    Every part on the beat that it knows has a share in the beat, so that the rhythm is the same from the first
    call to the last: parts on the beat can be said once all of them are rendered.
    """

    def __init__(self, box: Voicebox, voice: Voice, shelf: Shelf, speed: int, numbers: Sequence[str] = ()):
        """`numbers`: how the voice's language spells each from 0 on; without them a voice reads figures."""
        self.speed = speed
        self._numbers = numbers
        self._box, self._voice, self._shelf = box, voice, shelf
        self._clips: dict[tuple[int, str], NDArray[np.int16]] = {}
        self._beats: dict[str, None] = {}  # an ordered set
        self._stock: set[str] = set()  # texts that are always at hand once they are rendered
        self._now: set[str] = set()  # those of what is being said

    def stock(self, texts: Iterable[str]) -> None:
        """Let these be at hand from now on, as all on the beat are."""
        self._stock.update(texts)

    def say(self, texts: Iterable[str]) -> None:
        """Let these be at hand until others are to be said; then only MOST_PASSING, those rendered last."""
        self._now = set(texts)

    def learn(self, parts: Iterable[Part]) -> None:
        """Let those of these that are on the beat have a share in it."""
        self._beats |= {part.text: None for part in parts if part.beat}

    def lacks(self, texts: Iterable[str]) -> str | None:
        """The first of these that has no clip at this speed."""
        return next((text for text in texts if self._clip(text) is None), None)

    def needs(self, sound: Say | Sound) -> list[str]:
        """The texts whose clips are waited for before this is said."""
        if isinstance(sound, Sound):
            return []
        on_beat = any(part.beat for part in sound.parts)
        return [part.text for part in sound.parts] + (list(self._beats) if on_beat else [])

    def render(self, text: str, speed: int) -> Samples:
        """The clip of a text, from the shelf or from the engine. Changes nothing here. Raises DeviceMissing."""
        if not text.strip():
            return SILENCE
        clip = self._shelf.find(text, speed)
        if clip is None:
            clip = self._rendered(text, speed, RENDERINGS[0])
            self._shelf.keep(text, speed, clip)
        return clip

    def proof(self, text: str, speed: int) -> Proof | None:
        """What was heard of a number that is on the shelf, None where none was listened to."""
        return self._shelf.proof(text, speed)

    def number(self, text: str) -> int | None:
        """The number that a text is, in words of the voice's language or in figures, where an ear knows it."""
        if text in self._numbers:
            return self._numbers.index(text)
        figures = self._numbers and text.isascii() and text.isdecimal()
        return int(text) if figures and int(text) <= MOST else None

    def prove(self, text: str, number: int, speed: int, ear: NumberEar) -> Proof:
        """Put on the shelf the first clip of a number that this ear understands, else the one it takes for it most.

        Changes nothing here: what is at hand stays, and so the beat does. Raises DeviceMissing.
        """
        proofs: list[tuple[Proof, Samples]] = []
        for way, rendering in enumerate(RENDERINGS):
            clip = self._rendered(text, speed, rendering)
            proofs.append((Proof.of(number, way, clip, ear), clip))
            if proofs[-1][0].verdict is Understood.RIGHT:
                break
        proof, clip = max(proofs, key=lambda one: (one[0].verdict is Understood.RIGHT, one[0].lead))
        self._shelf.keep(text, speed, clip, proof)
        return proof

    def _rendered(self, text: str, speed: int, way: Rendering) -> Samples:
        number, said = self.number(text), text
        if number is not None:
            said = self._numbers[number] if way.in_words else str(number)
        clip = clean(self._box.render(said, self._voice.id, round(speed * way.pace)))
        if not len(clip) and any(letter.isalnum() for letter in text):
            raise no_sound(text, self._voice.id)
        return clip

    def hold(self, text: str, speed: int, clip: Samples) -> None:
        """Have this clip at hand."""
        self._clips[speed, text] = sixteen_bits(clip)
        stays = self._stock.union(self._beats, self._now)
        passing = [(at, said) for at, said in self._clips if at != self.speed or said not in stays]
        for each in passing[:-MOST_PASSING]:
            del self._clips[each]

    def samples(self, sound: Say | Sound) -> Samples:
        """What is heard; a part whose clip is not at hand is heard as the stand-in."""
        if isinstance(sound, Sound):
            return tone(sound.tone)
        beat = beat_of([clip for text in self._beats if (clip := self._clip(text)) is not None])
        return join([Clip(self._sound(part.text), part.beat) for part in sound.parts], beat)

    def _sound(self, text: str) -> Samples:
        clip = self._clip(text)
        return stand_in() if clip is None else np.divide(clip, FULL_SCALE, dtype=np.float32)

    def _clip(self, text: str) -> NDArray[np.int16] | None:
        return self._clips.get((self.speed, text))
