"""A page as where what is said sounds: what it is sent, what it tells, and what is said elsewhere where it is lost."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.mouth.player import FADE_S, MOUTH_RATE, Samples
from assistant.senses.page.outlet import AHEAD, LOST_AFTER_S, PageOutlet
from assistant.senses.sound import sixteen_bits

FADE = round(FADE_S * MOUTH_RATE)


class Network:
    """What was sent, and the time."""

    def __init__(self) -> None:
        self.now = 100.0
        self.told: list[Mapping[str, object]] = []
        self.sound = np.zeros(0, np.int16)
        self.outlet = PageOutlet(self.send, lambda: self.now)

    def send(self, sent: bytes | Mapping[str, object]) -> None:
        if isinstance(sent, bytes):
            self.sound = np.append(self.sound, np.frombuffer(sent, np.int16))
        else:
            self.told.append(sent)


def ramp(count: int) -> Samples:
    return np.linspace(0.1, 0.9, count, dtype=np.float32)


def same(sound: object, samples: Samples) -> bool:
    return np.array_equal(np.asarray(sound), sixteen_bits(samples))


def test_the_first_piece_goes_at_once_and_no_more_than_is_ahead() -> None:
    network = Network()
    said = ramp(3 * AHEAD)
    network.outlet.play(said[:100])
    assert same(network.sound, said[:100])
    network.outlet.play(said[100:])
    assert same(network.sound, said[:AHEAD])
    network.outlet.told(500, AHEAD)
    assert same(network.sound, said[: AHEAD + 500])


def test_it_sounds_until_the_page_has_told_that_all_was_played() -> None:
    network = Network()
    assert not network.outlet.sounding()
    network.outlet.play(ramp(1000))
    network.outlet.told(999, 1000)
    assert network.outlet.sounding()
    network.outlet.told(1000, 1000)
    assert not network.outlet.sounding()


def test_what_is_cut_off_is_never_sent_and_the_next_is_sent_at_once() -> None:
    network = Network()
    network.outlet.play(ramp(3 * AHEAD))
    network.outlet.cut()
    assert network.told == [{"cut": True}]
    assert network.outlet.sounding(), "until the page has told that it fell silent"
    network.outlet.play(ramp(2 * AHEAD))
    assert same(network.sound[AHEAD:], ramp(2 * AHEAD)[:AHEAD])
    network.outlet.told(AHEAD, AHEAD)
    assert len(network.sound) == 2 * AHEAD, "it tells of what was cut off"
    network.outlet.told(AHEAD + 10, 2 * AHEAD)
    assert same(network.sound[AHEAD:], ramp(2 * AHEAD)[: AHEAD + 10])


def test_nothing_is_cut_off_where_nothing_sounds() -> None:
    network = Network()
    network.outlet.play(ramp(10))
    network.outlet.told(10, 10)
    network.outlet.cut()
    assert network.told == []


@given(
    st.lists(st.integers(1, 20_000), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(0, 30_000), st.integers(0, 30_000)), max_size=8),
)
def test_what_the_page_did_not_play_is_said_elsewhere_and_nothing_twice(
    lengths: list[int], reports: list[tuple[int, int]]
) -> None:
    """Whatever the page tells, also what cannot be."""
    network = Network()
    said = ramp(sum(lengths))
    for piece in np.split(said, np.cumsum(lengths)[:-1]):
        network.outlet.play(piece)
    known = got = 0
    for played, came in reports:
        got = max(got, min(came, len(network.sound)))
        network.outlet.told(played, came)
        known = max(known, min(played, got))
    sent = len(network.sound)
    assert same(network.sound, said[:sent])
    assert sent <= known + AHEAD
    assert np.array_equal(network.outlet.rest(), said[known:])
    network.outlet.told(sent, sent)
    assert not network.outlet.sounding()
    assert len(network.sound) == sent


def test_a_page_that_fell_silent_may_have_played_what_it_had() -> None:
    """It told 0.1 s ago that a second of sound had come, of which 0.1 s was heard."""
    network = Network()
    said = ramp(MOUTH_RATE)
    network.outlet.play(said)
    network.outlet.told(MOUTH_RATE // 10, AHEAD)
    network.now += 0.1
    assert np.array_equal(network.outlet.rest(), said[MOUTH_RATE // 5 :])


def test_what_never_came_to_the_page_is_said_from_its_beginning() -> None:
    network = Network()
    network.outlet.told(0, 0)
    network.outlet.play(ramp(1000))
    network.now += LOST_AFTER_S
    assert not network.outlet.alive()
    assert np.array_equal(network.outlet.rest(), ramp(1000))


def test_an_ear_is_told_what_was_sent_as_time_passes() -> None:
    network = Network()
    network.now += 3600
    network.outlet.gain = 0.5
    network.outlet.gone()
    network.now += 0.1
    network.outlet.play(np.ones(MOUTH_RATE // 10, np.float32))
    network.now += 0.2
    gone = network.outlet.gone()
    assert len(gone) == pytest.approx(0.3 * MOUTH_RATE, abs=2)
    assert np.flatnonzero(gone)[[0, -1]] / MOUTH_RATE == pytest.approx([0.1, 0.2], abs=0.001)
    assert gone.max() == 0.5


def test_an_ear_hears_no_more_than_a_fade_of_what_was_cut_off() -> None:
    network = Network()
    network.outlet.play(np.ones(MOUTH_RATE // 4, np.float32))
    network.now += 0.1
    network.outlet.cut()
    network.now += 0.2
    assert np.flatnonzero(network.outlet.gone())[-1] == pytest.approx(0.1 * MOUTH_RATE + FADE, abs=3)
