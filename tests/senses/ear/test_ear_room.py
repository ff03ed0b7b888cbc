"""The room check, by sounds whose levels are known because they are made here; and a voice in them."""

from dataclasses import replace

import numpy as np
import pytest
from said import Sound, echoing, pause, word

from assistant.senses.ear.glance import Glance, as_json, bar
from assistant.senses.ear.listener import Heard
from assistant.senses.ear.room import (
    ECHO_S,
    GRAVE,
    LATELY,
    LESSON,
    Measures,
    RoomMeter,
    SoundFault,
    advice,
    faults,
    hum,
)
from assistant.senses.ear.room import WELL as HEARD_AGAIN
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Kind
from assistant.words.columns import columns
from assistant.words.language import codes, load

pytest.importorskip("hibari")

RANDOM = np.random.default_rng(5)


def made(samples: np.ndarray) -> Sound:
    return sixteen_bits(np.round(samples), FULL_SCALE)


def noise(level_db: float, seconds: float) -> np.ndarray:
    return np.asarray(RANDOM.normal(0, 32768 * 10 ** (level_db / 20), round(seconds * EAR_RATE)))


def tone(hertz: float, level_db: float, seconds: float) -> np.ndarray:
    """A sine with this root mean square."""
    times = np.arange(round(seconds * EAR_RATE)) / EAR_RATE
    return np.asarray(32768 * np.sqrt(2) * 10 ** (level_db / 20) * np.sin(2 * np.pi * hertz * times))


def words(level_db: float, background: float = -70.0) -> np.ndarray:
    """Ten seconds of words, their loudest tenth of a second near this level, in a steady noise."""
    said = np.concatenate([np.concatenate([pause(1), word(w)]) for w in ("next", "repeat", "position")] * 2).astype(
        float
    )
    loudest = np.sqrt(np.convolve(said**2, np.ones(EAR_RATE // 10) / (EAR_RATE // 10), "same").max())
    said *= 32768 * 10 ** (level_db / 20) / loudest
    return np.asarray(said + noise(background, len(said) / EAR_RATE))


def measured(*parts: tuple[np.ndarray, bool] | np.ndarray) -> Measures:
    """The room after these sounds, block by block; with True, the helper was speaking."""
    room = RoomMeter()
    for part in parts:
        sound, closed = part if isinstance(part, tuple) else (part, False)
        samples = made(sound)
        for at in range(0, len(samples), 480):
            room.take(samples[at : at + 480], closed)
    return room.measures()


@pytest.mark.parametrize("level", [-60, -40, -20])
def test_the_level_of_a_steady_noise_is_told(level: float) -> None:
    room = measured(noise(level, 5))
    assert room.noise == pytest.approx(level, abs=1)
    assert room.voice is None


@pytest.mark.parametrize(("level", "background"), [(-15, -60), (-25, -70), (-25, -50)])
def test_the_voice_is_told_apart_from_the_noise(level: float, background: float) -> None:
    room = measured(words(level, background))
    assert room.noise == pytest.approx(background, abs=1.5)
    assert room.voice == pytest.approx(level - 4, abs=4)  # all of a word is less loud than the loudest of it
    assert faults(room) == []


@pytest.mark.parametrize(
    ("sound", "fault"),
    [
        (np.zeros(5 * EAR_RATE), SoundFault.DEAD),
        (np.full(5 * EAR_RATE, 700.0), SoundFault.STUCK),
        (words(+6, -60), SoundFault.CLIPPED),
        (tone(50, -30, 5) + tone(150, -36, 5) + noise(-70, 5), SoundFault.HUM),
        (tone(60, -30, 5) + tone(180, -36, 5) + noise(-70, 5), SoundFault.HUM),
        (words(-20, -33), SoundFault.NOISY),
        (noise(-25, 5), SoundFault.NOISY),
        (words(-58, -85), SoundFault.FAINT),
    ],
    ids=lambda value: value.value if isinstance(value, SoundFault) else "",
)
def test_what_is_wrong_is_told_first(sound: np.ndarray, fault: SoundFault) -> None:
    assert faults(measured(sound))[0] is fault


def test_two_seconds_of_nothing_are_not_yet_a_dead_microphone_and_a_living_one_is_well_again() -> None:
    assert faults(measured(np.zeros(2 * EAR_RATE))) == []
    assert faults(measured(np.zeros(5 * EAR_RATE), noise(-60, 1))) == []


def test_a_microphone_that_falls_still_between_words_is_given_a_minute() -> None:
    gated = [part for _ in range(4) for part in (words(-20)[: 2 * EAR_RATE], np.zeros(EAR_RATE))]
    assert faults(measured(*gated, np.zeros(10 * EAR_RATE))) == []
    assert faults(measured(*gated, np.zeros(61 * EAR_RATE))) == [SoundFault.DEAD]


def test_one_that_hears_the_helper_alone_is_the_wrong_one() -> None:
    """The loudspeaker's monitor: its own voice as it is played, at -26 dB, and not a sound but that."""
    own = words(-20, -200)
    assert faults(measured((own, True), np.zeros(2 * EAR_RATE))) == [SoundFault.WRONG]
    assert faults(measured((own, True), noise(-75, 2))) == []
    assert faults(measured((np.zeros(5 * EAR_RATE), True), np.zeros(2 * EAR_RATE))) == [SoundFault.DEAD]


def test_a_microphone_in_a_room_is_not_the_wrong_one_however_loud_the_helper_is() -> None:
    room = (words(-10, -65), True), noise(-65, 3), (words(-10, -65), True), noise(-65, 0.4)
    assert faults(measured(*room)) == []


def test_what_the_helper_says_is_no_part_of_the_room() -> None:
    room = measured(noise(-60, 3), (words(-10), True), noise(-60, 1))
    assert room.noise == pytest.approx(-60, abs=1)
    assert room.voice is None


def test_a_knock_on_the_castle_is_no_clipping() -> None:
    knock = np.zeros(EAR_RATE // 50) + 40_000
    assert faults(measured(words(-15), knock, words(-15))) == []


def test_other_sounds_do_not_hum() -> None:
    assert hum(made(noise(-30, 1))) < 0.02
    assert hum(made(tone(440, -30, 1))) < 0.1
    assert hum(made(words(-20)[EAR_RATE : 2 * EAR_RATE])) < 0.5
    assert hum(np.zeros(EAR_RATE, np.int16)) == 0


def test_words_that_are_often_not_understood() -> None:
    room = RoomMeter()
    room.take(made(words(-20)), False)

    def after(*understood: bool) -> list[SoundFault]:
        for each in understood:
            room.count(each, 0.5, 1.0)
        return faults(room.measures())

    assert after(False, False) == []  # two prove nothing
    assert after(False) == [SoundFault.MISHEARD]
    assert after(*[True] * 7, False, False) == [SoundFault.MISHEARD]  # five of twelve
    assert after(True) == []  # four
    assert after(*[True] * LATELY) == []
    assert (room.measures().heard, room.measures().unclear) == (20, 5)


@pytest.mark.parametrize(
    ("echo", "unclear", "missed", "told"),
    [
        (None, 5, 0.5, [SoundFault.MISHEARD]),
        (0.3, 5, 0.5, [SoundFault.MISHEARD]),
        (0.5, 5, 0.5, [SoundFault.ECHOING, SoundFault.MISHEARD]),
        (0.5, 1, 0.0, []),
        (0.7, 1, 0.0, [SoundFault.ECHOING]),
        (0.7, 0, 0.0, []),
    ],
)
def test_an_echo_is_told_only_where_words_are_missed(
    echo: float | None, unclear: int, missed: float, told: list[SoundFault]
) -> None:
    assert faults(Measures(echo=echo, unclear=unclear, missed=missed)) == told


def test_the_echo_is_measured_by_the_words_that_were_heard_and_told_of_the_last_ones() -> None:
    """Words that die away at once, then as many in a room that goes on sounding for half a second."""
    room, taken = RoomMeter(), 0.0
    echoes: list[float | None] = []
    for said in ("next", "repeat", "previous", "position") * 6:
        dry = np.concatenate([pause(1), word(said), pause(0.4)])
        sound = dry if len(echoes) < LATELY else echoing(dry, 0.5, -3)
        room.take(made(sound + noise(-70, len(sound) / EAR_RATE)), False)
        start, taken = taken + 1, taken + len(sound) / EAR_RATE
        room.count(True, start, taken)
        echoes.append(room.measures().echo)
    assert echoes[:3] == [None] * 3
    assert echoes[LATELY - 1] == pytest.approx(0.15, abs=0.1)
    assert (echoes[-1] or 0) > ECHO_S


@pytest.mark.parametrize("code", codes())
def test_every_fault_has_its_advice(code: str) -> None:
    phrases = load(code).phrases
    assert all(phrases[advice(fault).phrase] for fault in SoundFault)
    assert all(phrases[spoken] for spoken in (*GRAVE.values(), *LESSON.values(), HEARD_AGAIN))


SAID = "next, repeat, previous"
NEXT = Heard(Kind.NEXT, "next", None, 0.94, 0, 0.4, 0.6)
WELL = Measures(seconds=9, now=-40, noise=-64, voice=-16, heard=3, unclear=1)


def test_the_room_at_a_glance() -> None:
    shown = Glance(load("en"), SAID)
    lines = shown.lines(WELL, NEXT, False, 80)
    assert lines[:4] == [
        "level    " + 10 * "░" + 15 * "█" + 15 * "·" + "|" + 9 * "·",  # 80 dB in 50 columns
        "         ░ noise -64 dB, | voice -16 dB, 48 dB apart",
        "heard    next, 94 % sure",
        "advice   all is well",
    ]
    echoing = shown.lines(replace(WELL, echo=0.52), NEXT, False, 80)
    assert echoing[1] == "         ░ noise -64 dB, | voice -16 dB, 48 dB apart, echo about 0.5 s"
    assert "no voice was heard yet" in shown.lines(Measures(noise=-60.0), None, False, 80)[3]
    assert "the microphone is gone" in shown.lines(WELL, NEXT, True, 80)[3]


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize("width", [20, 40, 80, 200])
def test_it_takes_the_same_room_whatever_there_is_to_tell(width: int, code: str) -> None:
    shown = Glance(load(code), SAID)
    rooms = [Measures(), WELL, Measures(still_s=9), Measures(own=-20.0), Measures(noise=-20.0, hum=0.9)]
    drawn = [
        shown.lines(room, heard, gone, width) for room in rooms for heard in (None, NEXT) for gone in (False, True)
    ]
    assert len({len(lines) for lines in drawn}) == 1
    assert all(columns(line) < width for lines in drawn for line in lines)


def test_the_bar_never_leaves_its_width() -> None:
    for level in (-120.0, -80.0, -0.1, 0.0, 5.0):
        assert len(bar(Measures(now=level, noise=level, voice=level), 30)) == 30


def test_the_verdict() -> None:
    assert Glance(load("en"), SAID).verdict(WELL, "USB headset", 80) == [
        "mic      USB headset",
        "noise    -64 dB",
        "voice    -16 dB, 48 dB apart",
        "cut off  0.0 % of what was loud",
        "heard    3 understood, 1 not understood",
        "advice   all is well",
    ]
    assert Glance(load("de"), SAID).verdict(WELL, "USB", 80)[1:3] == [
        "Rauschen     -64 dB",
        "Stimme       -16 dB, 48 dB Abstand",
    ]
    assert Glance(load("fr"), SAID).verdict(replace(WELL, echo=0.84, unclear=3, missed=0.5), "USB", 200)[2::3] == [
        "voix     -16 dB, 48 dB d'écart, écho d'environ 0,8 s",
        "conseil  la pièce résonne : rapprochez-le de la bouche, ou prenez un micro-casque",
    ]
    assert as_json(WELL)["distance_db"] == 48
    assert as_json(WELL)["echo_s"] is None
    assert as_json(replace(WELL, echo=0.5))["echo_s"] == 0.5
    assert as_json(Measures(still_s=9))["faults"] == ["dead"]
