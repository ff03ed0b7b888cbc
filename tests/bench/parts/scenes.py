"""Words to be found: where each begins and ends is known from its dry sound, before a room or a noise is added.

- people: recordings of people saying one digit each, in a quiet room; real: words in real rooms, with breath and clicks
- simulated: words in rooms by the image-source method (Allen & Berkley 1979) of pyroomacoustics, or in noise, or right
  after what is no word
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray
from parts.remarks import remarks
from parts.spoken import RATE, ROOM_DB, WEAVER_DB, Sound, at_level, babble, music, silence, talker, talking, white, word

from assistant.senses.ear.features import mel_energies
from assistant.senses.sound import sixteen_bits

FRAME = RATE // 100
DEEP = 24.0  # dB below its loudest frames down to which a sound belongs to a word
SHALLOW = 15.0  # and down to which it does in any noise
ABOVE = 6.0  # dB above the faintest frames, the least that counts
LONGEST_STOP = 20  # frames of quiet within a word
CLICK = 5  # frames; what is shorter is part of a word only as near as that
VOICED = slice(2, 18)  # the mel bands from about 300 to 4000 Hz
REAL_DEEP = 20.0  # DEEP where the room is not quiet
WORDS = ("next", "repeat", "back", "finished", "pause", "six", "five", "eight", "three", "seventeen", "one", "where")
VOICES = ("us", "rp", "scotland", "joe")
RT60_S, DISTANCES_M = (0.3, 0.5), (0.3, 0.8, 1.6)
ROOM_M = (4.2, 3.6, 2.5)
SNR = 10.0  # dB
HARDLY = RATE // 20  # samples of a pause
AUDIBLE = 2.0  # times the energy of the noise
NOISES: dict[str, Callable[[int, float, int], Sound]] = {
    "white": white,
    "babble": babble,
    "talker": talker,
    "music": music,
}


@dataclass(frozen=True, slots=True)
class Scene:
    """Sound at 16 kHz and the word in it, seconds; NaN where there is none."""

    sound: NDArray[np.int16]
    start_s: float = np.nan
    end_s: float = np.nan
    heard_from_s: float = np.nan  # where it can first be heard, and last; in a noise its soft ends cannot
    heard_to_s: float = np.nan


def levels(sound: Sound) -> NDArray[np.float64]:
    """Of each 10 ms, in dB, the high frequencies raised, as a hiss of speech is to count as much as a vowel."""
    sound = np.append(sound[:1], sound[1:] - 0.9 * sound[:-1])
    frames = sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME)
    return np.asarray(10 * np.log10((frames**2).mean(axis=1) + 1e-12))


def over_noise(sound: Sound) -> NDArray[np.float64]:
    """Of each 10 ms, in dB: the voice's bands above what each holds where the whole recording is quiet."""
    bands = 10 * np.log10(mel_energies(sixteen_bits(sound)))[:, VOICED]
    above = 10 ** ((bands - np.percentile(bands, 25, axis=0) - 2) / 10)
    return np.asarray(10 * np.log10(np.maximum(above, 1).mean(axis=1)))


def bounds(level: NDArray[np.float64], deep: float = DEEP) -> tuple[float, float]:
    """Seconds at which the loudest word of a whole recording begins and ends, down to so many dB below its peak."""
    smooth = np.convolve(level, np.ones(3) / 3, "same")
    peak = float(np.sort(smooth)[-5:].mean())
    over = max(peak - deep, min(peak - SHALLOW, float(np.percentile(smooth, 5)) + ABOVE))
    loud = np.flatnonzero(smooth > over)
    pieces = [one for one in np.split(loud, np.flatnonzero(np.diff(loud) > 1) + 1) if len(one)]
    first = last = max(range(len(pieces)), key=lambda place: (smooth[pieces[place]] - over).sum())
    start, end = pieces[first][0], pieces[last][-1] + 1
    for piece in pieces[first - 1 :: -1] if first else []:
        if start - piece[-1] > (LONGEST_STOP if len(piece) >= CLICK else CLICK):
            break
        start = piece[0]
    for piece in pieces[last + 1 :]:
        if piece[0] - end > (LONGEST_STOP if len(piece) >= CLICK else CLICK):
            break
        end = piece[-1] + 1
    return float(start) * 0.01, float(end) * 0.01


def in_quiet(sound: Sound, seed: int, seconds: float = 1.0) -> Scene:
    """With so much of a quiet room on each side."""
    start, end = bounds(levels(sound))
    whole = np.concatenate([silence(seconds), sound, silence(seconds)])
    return Scene(sixteen_bits(whole + white(len(whole), ROOM_DB, seed)), seconds + start, seconds + end)


def people(folder: Path, every: int = 1) -> dict[str, list[Sound]]:
    """Each recording by its speaker, at one level for all of one speaker's."""
    read: dict[str, list[Sound]] = {}
    for place, file in enumerate(sorted(folder.glob("*_*_*.wav"))):
        if place % every == 0:
            sound, rate = soundfile.read(file, dtype="float64")
            read.setdefault(file.stem.split("_")[1], []).append(soxr.resample(sound, rate, RATE))
    for name, sounds in read.items():
        usual = np.median([np.std(sound) / np.std(at_level(sound, WEAVER_DB)) for sound in sounds])
        read[name] = [sound / usual for sound in sounds]
    return read


def real(folder: Path) -> tuple[list[Scene], int]:
    """Words in real rooms, their quiet lengthened; and how many were passed over, not mono or cut off within a word."""
    scenes, passed = [], 0
    for place, file in enumerate(sorted(folder.glob("*.wav"))):
        sound, rate = soundfile.read(file, dtype="float64")
        if sound.ndim > 1 or rate != RATE:
            passed += 1
            continue
        start, end = bounds(over_noise(sound), REAL_DEEP)
        if start < 0.1 or end > len(sound) / RATE - 0.15:
            passed += 1
            continue
        before, after = (_like_quiet(sound, np.random.default_rng([place, side])) for side in range(2))
        whole = _joined(_joined(before, sound), after)
        shift = len(before) / RATE - 0.02
        scenes.append(Scene(sixteen_bits(whole), shift + start, shift + end))
    return scenes, passed


def _like_quiet(sound: Sound, chance: np.random.Generator, seconds: float = 1.0) -> Sound:
    """Noise with the spectrum of a recording's quietest parts."""
    blocks = np.lib.stride_tricks.sliding_window_view(sound, 1024)[::256]
    quiet = blocks[blocks.std(axis=1).argsort()[: max(4, len(blocks) // 8)]] * np.hanning(1024)
    shape = np.sqrt((np.abs(np.fft.rfft(quiet)) ** 2).mean(axis=0))
    length = round(seconds * RATE)
    noise = chance.normal(0, 1, length)
    spectrum = np.fft.rfft(noise)
    spectrum *= np.interp(np.linspace(0, 1, len(spectrum)), np.linspace(0, 1, len(shape)), shape)
    shaped = np.fft.irfft(spectrum, length)
    return np.asarray(shaped * np.sqrt((quiet**2).mean() / (np.hanning(1024) ** 2).mean()) / shaped.std())


def _joined(first: Sound, second: Sound) -> Sound:
    """One fading into the other for 20 ms."""
    fade = np.linspace(0, 1, round(0.02 * RATE))
    n = len(fade)
    return np.concatenate([first[:-n], first[-n:] * (1 - fade) + second[:n] * fade, second[n:]])


def words(repetitions: int = 1) -> Iterator[tuple[int, Sound]]:
    """Each word by each voice."""
    every = [(voice, text, again) for again in range(repetitions) for voice in VOICES for text in WORDS]
    for place, (name, text, again) in enumerate(every):
        yield place, word(name, text, again)


@cache
def response(rt60_s: float, distance_m: float, seed: int) -> Sound:
    """Of a simulated room, from the direct sound on."""
    import pyroomacoustics

    chance = np.random.default_rng(seed)
    absorption, order = pyroomacoustics.inverse_sabine(rt60_s, ROOM_M)
    room = pyroomacoustics.ShoeBox(
        ROOM_M, fs=RATE, materials=pyroomacoustics.Material(absorption), max_order=min(order, 30)
    )
    ear = np.array([chance.uniform(1.8, 2.4), chance.uniform(1.0, 1.6), 1.0])
    away = np.array([np.cos(0.4), np.sin(0.4), 0.25])
    room.add_source(ear + distance_m * away / np.linalg.norm(away))
    room.add_microphone(ear)
    room.compute_rir()
    sound = np.asarray(room.rir[0][0])
    return np.asarray(sound[max(0, int(np.abs(sound).argmax()) - 16) :])


def in_room(sound: Sound, rt60_s: float, distance_m: float, seed: int) -> Scene:
    """A dry word in a room, at the weaver's level there."""
    start, end = bounds(levels(sound))
    whole = np.convolve(np.concatenate([sound, silence(1)]), response(rt60_s, distance_m, seed % 3))
    whole = np.concatenate([silence(1), at_level(whole, WEAVER_DB)])
    return Scene(sixteen_bits(whole + white(len(whole), ROOM_DB, seed)), 1 + start, 1 + end)


def in_noise(sound: Sound, kind: str, seed: int, before_s: float = 4.0) -> Scene:
    """A dry word SNR dB above a noise that goes on."""
    start, end = bounds(levels(sound))
    noise = NOISES[kind](round((before_s + 1) * RATE) + len(sound), WEAVER_DB - SNR, seed)
    first, last = audible(sound, noise[round(before_s * RATE) :][: len(sound)])
    whole = np.concatenate([silence(before_s), sound, silence(1)]) + noise
    whole += white(len(whole), ROOM_DB, seed)
    return Scene(
        sixteen_bits(whole), before_s + start, before_s + end, before_s + max(start, first), before_s + min(end, last)
    )


def audible(sound: Sound, noise: Sound) -> tuple[float, float]:
    """Seconds from which and to which a dry sound is louder than a noise in some part of the spectrum."""
    both = [mel_energies(sixteen_bits(each)) for each in (sound, noise)]
    mine, other = ([each[:, at : at + 4].sum(axis=1) for at in range(0, 24, 4)] for each in both)
    other = [np.convolve(each, np.ones(9) / 9, "same")[: len(each)] for each in other]
    over = np.flatnonzero(np.max([a / b for a, b in zip(mine, other, strict=True)], axis=0) > AUDIBLE)
    return float(over[0]) * 0.01, float(over[-1] + 2) * 0.01


def after(sound: Sound, kind: str, seed: int) -> Scene:
    """A dry word after what is no word, by up to half a second."""
    chance = np.random.default_rng([seed, len(kind)])
    start, end = bounds(levels(sound))
    noise = OTHER_SOUNDS[kind](chance)
    gap = chance.uniform(0.05, 0.5)
    whole = np.concatenate([silence(1), noise, silence(gap), sound, silence(1)])
    shift = 1 + len(noise) / RATE + gap
    return Scene(sixteen_bits(whole + white(len(whole), ROOM_DB, seed)), shift + start, shift + end)


def alone(kind: str, seed: int) -> Scene:
    """What is no word, on its own."""
    noise = OTHER_SOUNDS[kind](np.random.default_rng([seed, 5]))
    whole = np.concatenate([silence(1), noise, silence(1)])
    return Scene(sixteen_bits(whole + white(len(whole), ROOM_DB, seed)))


def talk(seconds: float, seed: int, pauses: bool = True) -> Scene:
    """Somebody talks without end at the weaver's level; with pauses between sentences, or with hardly any."""
    chance = np.random.default_rng(seed)
    pieces = islice(talking(VOICES[seed % len(VOICES)], seconds, chance, remarks(chance)), 10_000)
    whole = np.concatenate([silence(1), *(each if pauses or each.any() else each[:HARDLY] for each in pieces)])
    return Scene(sixteen_bits(whole + white(len(whole), ROOM_DB, seed)))


def _breath(chance: np.random.Generator) -> Sound:
    length = round(chance.uniform(0.2, 0.5) * RATE)
    return (
        _noise(length, chance.uniform(400, 900), chance.uniform(2500, 6000), chance)
        * _swell(length, 0.4)
        * _loud(chance, -28, -14)
    )


def _click(chance: np.random.Generator) -> Sound:
    at = np.arange(round(0.03 * RATE)) / RATE
    return chance.normal(0, 1, len(at)) * np.exp(-at / chance.uniform(0.001, 0.006)) * _loud(chance, -8, 6)


def _smack(chance: np.random.Generator) -> Sound:
    """Lips that part: two or three clicks within a tenth of a second, in the middle of the spectrum."""
    total = silence(chance.uniform(0.06, 0.12))
    for _ in range(int(chance.integers(2, 4))):
        at = np.arange(round(0.015 * RATE)) / RATE
        ring = np.sin(2 * np.pi * chance.uniform(900, 3500) * at) * np.exp(-at / chance.uniform(0.001, 0.004))
        place = int(chance.integers(0, len(total) - len(ring)))
        total[place : place + len(ring)] += ring * chance.uniform(0.4, 1)
    return total * _loud(chance, -10, 3)


def _rustle(chance: np.random.Generator) -> Sound:
    """Yarn, sleeves: hiss in bursts."""
    length = round(chance.uniform(0.3, 0.8) * RATE)
    knots = chance.uniform(0, 1, 12) ** 3
    swing = np.interp(np.linspace(0, 11, length), np.arange(12), knots)
    return _noise(length, 1500, 7500, chance) * swing * _swell(length, 0.1) * _loud(chance, -20, -6)


def _creak(chance: np.random.Generator) -> Sound:
    """Wood: pulses that come slower and slower, each ringing."""
    length = round(chance.uniform(0.2, 0.6) * RATE)
    pulses, place, step = np.zeros(length), 0.0, chance.uniform(0.008, 0.02)
    while place < length:
        pulses[int(place)] = chance.uniform(0.5, 1)
        place += step * RATE * chance.uniform(0.85, 1.15)
        step *= 1.03
    at = np.arange(round(0.03 * RATE)) / RATE
    ring = sum(np.sin(2 * np.pi * hertz * at) * np.exp(-at / 0.006) for hertz in chance.uniform(300, 2500, 3))
    return np.asarray(np.convolve(pulses, ring)[:length] * _swell(length, 0.2) * _loud(chance, -18, -6) / 2)


OTHER_SOUNDS: dict[str, Callable[[np.random.Generator], Sound]] = {
    "breath": _breath,
    "click": _click,
    "smack": _smack,
    "rustle": _rustle,
    "creak": _creak,
}


def _loud(chance: np.random.Generator, least: float, most: float) -> float:
    """A level from and to so many dB above the weaver's."""
    return float(10 ** ((WEAVER_DB + chance.uniform(least, most)) / 20))


def _swell(length: int, share: float) -> Sound:
    """Rising and falling, each for a share of the whole."""
    at = np.linspace(0, 1, length)
    return np.asarray(np.sin(np.pi / 2 * np.clip(np.minimum(at, 1 - at) / share, 0, 1)) ** 2)


def _noise(length: int, low: float, high: float, chance: np.random.Generator) -> Sound:
    """Between two frequencies, at a level of 0 dB."""
    spectrum = np.fft.rfft(chance.normal(0, 1, length))
    hertz = np.fft.rfftfreq(length, 1 / RATE)
    noise = np.fft.irfft(
        spectrum / np.sqrt(1 + (low / np.maximum(hertz, 1)) ** 4) / np.sqrt(1 + (hertz / high) ** 4), length
    )
    return np.asarray(noise / noise.std())
