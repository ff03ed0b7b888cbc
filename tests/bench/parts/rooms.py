"""Words recorded at people's own microphones, in their rooms, with breath, clicks and hum: one is taught, many are not.

A folder of folders, as of the Precise Community Data (public domain): in `computer-en` one word, most of it by one
person; all that lies in the others are strangers. The recordings are short, and so the quiet before and after is
lengthened with noise that has the spectrum of the recording's own quietest part. As the other words that are taught
and as what is said for them, the digits of one of people.py's speakers.
"""

import wave
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

import numpy as np
import soxr
from parts.people import COMMANDS, EXAMPLES, Speaker
from parts.pupils import Lesson, Pupil, Teach
from parts.scoring import Cell, Results, Said, Score, Share, gather, score, taken
from parts.spoken import RATE, Sound, white
from parts.streams import AROUND_S, alone
from parts.wanted import KINDS, Samples

from assistant.senses.sound import sixteen_bits

TAUGHT = "computer-en"
LABEL = KINDS[len(COMMANDS)]  # the command for which it stands; the digits stand for those before
FRAME = 512  # samples of which the spectrum of a room is taken; as many fade into what lengthens a recording


class Rooms(NamedTuple):
    """What a folder holds, at 16 kHz, each with its quiet lengthened."""

    taught: list[Samples]
    strangers: dict[str, list[Samples]]  # by folder
    skipped: int  # files that are not mono or not whole


def read(folder: Path) -> Rooms:
    """The recordings of each folder."""
    sounds = {
        each.name: [_read(file) for file in sorted(each.glob("*.wav"))]
        for each in sorted(folder.iterdir())
        if each.is_dir()
    }
    whole = {
        name: [_lengthened(sound, at) for at, sound in enumerate(each) if sound is not None]
        for name, each in sounds.items()
    }
    skipped = sum(sound is None for each in sounds.values() for sound in each)
    return Rooms(whole.pop(TAUGHT, []), whole, skipped)


def measure(rooms: Rooms, beside: Speaker | None, ears: Mapping[str, Teach], draws: int = 4, seed: int = 0) -> Results:
    """The word as the only one taught, and beside the digits where a speaker says them, over so many draws."""
    results: Results = {}
    for at in range(draws):
        chance = np.random.default_rng((seed, at))
        order = chance.permutation(len(rooms.taught))
        examples = {LABEL: [rooms.taught[place] for place in order[:EXAMPLES]]}
        tried = [rooms.taught[place] for place in order[EXAMPLES:]]
        others: Lesson = {}
        if beside:
            others = {
                label: [
                    alone(beside[digit][place], (seed, at, place))
                    for place in chance.permutation(len(beside[digit]))[:EXAMPLES]
                ]
                for digit, label in COMMANDS.items()
            }
        for name, teach in ears.items():
            for told, lesson in (("alone", examples), (f"beside {len(others)}", {**others, **examples})):
                if (told == "alone" or others) and (pupil := teach(lesson)):
                    away = Share(sum(map(len, lesson.values())), pupil.turned_away)
                    gather(results, name, [(f"examples turned away, {told}", away)])
                    gather(results, name, _heard(pupil, told, tried, rooms.strangers))
    return results


def _heard(
    pupil: Pupil, told: str, tried: list[Samples], strangers: Mapping[str, list[Samples]]
) -> Iterator[tuple[str, Cell]]:
    yield (
        f"a word in rooms, {told}",
        sum((score(pupil.hears(sound, 0), _whole(LABEL, sound)) for sound in tried), Score()),
    )
    for name, sounds in strangers.items():
        share = sum((taken(pupil.hears(sound, 0), _whole("", sound)) for sound in sounds), Share())
        yield f"strangers taken, {told}", share
        yield f"strangers taken, {told}, {name}", share


def _whole(label: str, sound: Samples) -> list[Said]:
    """It may be said anywhere in the recording."""
    return [Said(label, 0, len(sound) / RATE)]


def _read(file: Path) -> Sound | None:
    """None where it is not mono, or not whole: it holds less than its header says."""
    try:
        with wave.open(str(file)) as recording:
            channels, width, rate, count = recording.getparams()[:4]
            samples = recording.readframes(count)
    except (wave.Error, EOFError):
        return None
    if channels != 1 or width != 2 or not count or len(samples) != 2 * count:
        return None
    return np.asarray(soxr.resample(np.frombuffer(samples, "<i2") / 32768, rate, RATE))


def _lengthened(sound: Sound, seed: int) -> Samples:
    """With AROUND_S of noise before and after, of the spectrum and the level of its quietest tenth."""
    frames = np.lib.stride_tricks.sliding_window_view(sound, FRAME)[:: FRAME // 2]
    levels = frames.std(axis=1)
    quiet = frames[levels.argsort()[: max(1, len(frames) // 10)]]
    shape = np.sqrt((np.abs(np.fft.rfft(quiet * np.hanning(FRAME))) ** 2).mean(axis=0))
    fade, around = np.linspace(0, 1, FRAME), round(AROUND_S * RATE)
    room = np.convolve(white(2 * (around + FRAME), 0, seed), np.roll(np.fft.irfft(shape), FRAME // 2), "same")
    before, after = np.split(room * (np.sqrt((quiet**2).mean()) / room.std()), 2)
    before[-FRAME:] = before[-FRAME:] * fade[::-1] + sound[:FRAME] * fade
    after[:FRAME] = after[:FRAME] * fade + sound[-FRAME:] * fade[::-1]
    return sixteen_bits(np.concatenate([before, sound[FRAME:-FRAME], after]))
