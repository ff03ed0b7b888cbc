"""How long a room goes on sounding, told by words in rooms whose echo is known because it is made here.

A room's echo is noise that dies away exponentially, as Polack's model of reverberation has it, behind the direct sound.
"""

import numpy as np
import pytest
from said import Sound, room, word

from assistant.senses.ear.echo import LEAST_WORDS, echo_of, falls
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

pytest.importorskip("hibari")

WORDS = ("next", "repeat", "previous", "position", "finished", "restart")
BEFORE_S, HEARD_AFTER_S = 1.0, 0.4  # around a word; with a second's fraction of its echo, as an ear decides


def echoing(sound: Sound, echo_s: float, direct_db: float) -> Sound:
    """With as much direct sound beside the echo, both as loud together as it was."""
    times = np.arange(round(echo_s * EAR_RATE)) / EAR_RATE
    echo = np.random.default_rng(3).normal(0, 1, len(times)) * 10 ** (-3 * times / echo_s)
    echo[0] = np.sqrt((echo[1:] ** 2).sum()) * 10 ** (direct_db / 20)
    heard = np.convolve(sound.astype(float), echo)[: len(sound)]
    return sixteen_bits(heard * (np.std(sound) / np.std(heard)), FULL_SCALE)


def told(echo_s: float, direct_db: float, words: tuple[str, ...] = WORDS) -> float | None:
    before = np.zeros(round(BEFORE_S * EAR_RATE), np.int16)
    after = np.zeros(round(HEARD_AFTER_S * EAR_RATE), np.int16)
    said = [np.concatenate([before, word(each), after]) for each in words]
    heard = [echoing(sound, echo_s, direct_db) if echo_s else sound for sound in said]
    return echo_of([falls(room(sound), len(before)) for sound in heard])


@pytest.mark.parametrize("direct_db", [3, -9], ids=["near", "far"])
@pytest.mark.parametrize("echo_s", [0.3, 0.5, 0.8])
def test_the_echo_of_a_room_is_told_near_or_far(echo_s: float, direct_db: float) -> None:
    assert told(echo_s, direct_db) == pytest.approx(echo_s, rel=0.35)


def test_a_voice_alone_echoes_for_a_moment_only() -> None:
    echo = told(0, 0)
    assert echo is not None
    assert echo < 0.25


def test_a_few_words_do_not_tell_it() -> None:
    assert told(0.5, 0, WORDS[: LEAST_WORDS - 1]) is None


def test_noise_has_no_falls() -> None:
    noise = np.random.default_rng(1).normal(0, 300, 3 * EAR_RATE)
    assert len(falls(sixteen_bits(noise, FULL_SCALE), EAR_RATE)) == 0


@pytest.mark.parametrize("samples", [0, 1, 400, 2000])
def test_next_to_nothing_has_no_falls(samples: int) -> None:
    sound = word("next")[:samples]
    assert [len(falls(sound, start)) for start in (-5, 0, samples, samples + 9)] == [0, 0, 0, 0]
    assert echo_of([falls(sound, 0)] * LEAST_WORDS) is None
