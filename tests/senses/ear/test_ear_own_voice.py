"""The helper's own voice is told from the weaver's by what was played."""

import numpy as np
import pytest
import soxr
from numpy.typing import NDArray
from said import Sound, word

from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.utterance import FRAME, MARGIN, Utterance
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.sound import EAR_RATE

BLOCK = 480
QUIET = np.zeros(EAR_RATE, np.int16)


def echoed(sound: Sound, decibels: float, lag_s: float, rt60_s: float = 0.4) -> Sound:
    """As it comes to the microphone of a quiet room, with as much energy in the echo as in the direct sound."""
    chance = np.random.default_rng(5)
    length = round(rt60_s * EAR_RATE)
    tail = chance.normal(size=length) * 10 ** (-3 * np.arange(length) / length)
    room = np.append(1.0, tail / np.sqrt((tail**2).sum())) * 10 ** (decibels / 20)
    late = np.concatenate([np.zeros(round(lag_s * EAR_RATE)), np.convolve(sound, room)])[: len(sound)]
    return np.asarray(late + chance.normal(0, 20, len(sound)), np.int16)


def follow(played: Sound, heard: Sound) -> tuple[OwnVoice, list[bool]]:
    """Let it listen to both from beginning to end; and how often it noticed a leak."""
    left = [np.asarray(soxr.resample(played.astype(np.float32) / 32768, EAR_RATE, MOUTH_RATE), np.float32)]
    noticed: list[bool] = []

    def take() -> NDArray[np.float32]:
        block, left[0] = left[0][: BLOCK * MOUTH_RATE // EAR_RATE + 1], left[0][BLOCK * MOUTH_RATE // EAR_RATE + 1 :]
        return block

    own = OwnVoice(take, leaks=False, noticed=lambda: noticed.append(True))
    for at in range(0, len(heard), BLOCK):
        own.follow(heard[at : at + BLOCK])
    return own, noticed


def uttered(heard: Sound, start: int, end: int) -> Utterance:
    """What lies between, decided at the end of all."""
    margin = MARGIN * FRAME
    return Utterance(heard[start - margin : end + margin], start / EAR_RATE, end / EAR_RATE, len(heard) / EAR_RATE)


@pytest.mark.parametrize("lag_s", [0.02, 0.1, 0.3])
@pytest.mark.parametrize("decibels", [-10, -20])
@pytest.mark.parametrize("text", ["next", "repeat", "four"])
def test_what_was_played_is_known_again(text: str, decibels: float, lag_s: float) -> None:
    played = np.concatenate([QUIET, word(text) // 4, QUIET[: EAR_RATE // 2]])
    heard = echoed(played, decibels, lag_s)
    own, _ = follow(played, heard)
    start = EAR_RATE + round(lag_s * EAR_RATE)
    assert own.explains(uttered(heard, start, start + len(word(text))))


@pytest.mark.parametrize("decibels", [-30, -40, -50])
@pytest.mark.parametrize(("said", "meanwhile"), [("next", "everything"), ("repeat", "seventy"), ("four", "remember")])
def test_the_weaver_s_word_over_it_is_not(said: str, meanwhile: str, decibels: float) -> None:
    talk = np.concatenate([word(meanwhile), word("water"), word(meanwhile), word("yesterday"), word("music")]) // 4
    played = np.concatenate([QUIET, talk, QUIET[: EAR_RATE // 4]])
    heard = echoed(played, decibels, 0.1)
    start = EAR_RATE + round(0.5 * EAR_RATE)
    heard[start : start + len(word(said))] += word(said) // 4
    own, _ = follow(played, heard)
    own_word = uttered(heard, start, start + len(word(said)))
    assert not own.explains(own_word)


@pytest.mark.parametrize(("decibels", "times"), [(-10, 1), (-20, 1), (-35, 0), (-50, 0)])
def test_a_loud_leak_is_noticed_once(decibels: float, times: int) -> None:
    talk = np.concatenate([word(text) for text in ("everything", "water", "seventy", "yesterday", "remember") * 2]) // 4
    played = np.concatenate([QUIET, talk, QUIET])
    own, noticed = follow(played, echoed(played, decibels, 0.2))
    assert len(noticed) == times
    assert own.leaks is bool(times)


def test_where_nothing_was_played_nothing_is_known_again() -> None:
    heard = np.concatenate([QUIET, word("next"), QUIET[: EAR_RATE // 2]])
    own, noticed = follow(np.zeros_like(heard), heard)
    assert not own.explains(uttered(heard, EAR_RATE, EAR_RATE + len(word("next"))))
    assert not noticed
