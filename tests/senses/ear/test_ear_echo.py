"""How long a room goes on sounding, told by words in rooms whose echo is known because it is made here."""

import numpy as np
import pytest
from said import echoing, room, word

from assistant.senses.ear.echo import LEAST_WORDS, echo_of, falls
from assistant.senses.ear.room import ECHO_S
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

pytest.importorskip("hibari")

WORDS = ("next", "repeat", "previous", "position", "finished", "restart")
BEFORE_S, HEARD_AFTER_S = 1.0, 0.4  # around a word; with a second's fraction of its echo, as an ear decides


def told(echo_s: float, direct_db: float, words: tuple[str, ...] = WORDS) -> float | None:
    before = np.zeros(round(BEFORE_S * EAR_RATE), np.int16)
    after = np.zeros(round(HEARD_AFTER_S * EAR_RATE), np.int16)
    said = [np.concatenate([before, word(each), after]) for each in words]
    heard = [echoing(sound, echo_s, direct_db) if echo_s else sound for sound in said]
    return echo_of([falls(room(sound), len(before)) for sound in heard])


@pytest.mark.parametrize("direct_db", [3, -9], ids=["near", "far"])
@pytest.mark.parametrize("echo_s", [0.3, 0.5, 0.8])
def test_the_echo_of_a_room_is_told_near_or_far(echo_s: float, direct_db: float) -> None:
    """Coarsely: in rooms made so it is told a third too long."""
    assert told(echo_s, direct_db) == pytest.approx(echo_s, rel=0.35)


def test_a_voice_alone_echoes_for_a_moment_only() -> None:
    echo = told(0, 0)
    assert echo is not None
    assert echo < 0.25


def test_a_few_words_do_not_tell_it() -> None:
    assert told(0.5, 0, WORDS[: LEAST_WORDS - 1]) is None


def test_a_noise_is_not_taken_for_an_echo() -> None:
    """Ten dB below the words it hides the steep falls, of which only the slow would be left."""
    chance = np.random.default_rng(4)
    heard = []
    for each in WORDS:
        said = np.concatenate([np.zeros(EAR_RATE), word(each), np.zeros(EAR_RATE // 4)])
        noise = chance.normal(0, np.std(word(each)) * 10 ** (-10 / 20), len(said))
        heard.append(falls(sixteen_bits(said + noise, FULL_SCALE), EAR_RATE))
    assert (echo_of(heard) or 0) < ECHO_S


def test_noise_has_no_falls() -> None:
    noise = np.random.default_rng(1).normal(0, 300, 3 * EAR_RATE)
    assert len(falls(sixteen_bits(noise, FULL_SCALE), EAR_RATE)) == 0


@pytest.mark.parametrize("samples", [0, 1, 400, 2000])
def test_next_to_nothing_has_no_falls(samples: int) -> None:
    sound = word("next")[:samples]
    assert [len(falls(sound, start)) for start in (-5, 0, samples, samples + 9)] == [0, 0, 0, 0]
    assert echo_of([falls(sound, 0)] * LEAST_WORDS) is None
