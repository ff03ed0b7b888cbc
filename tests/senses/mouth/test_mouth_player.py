"""What comes out of the player, block by block."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.mouth.player import BLOCK, FADE_S, MOUTH_RATE, Player, Samples

FADE = round(FADE_S * MOUTH_RATE)


def ramp(count: int) -> Samples:
    return np.linspace(0.1, 0.9, count, dtype=np.float32)


def test_silence_when_nothing_is_to_be_played() -> None:
    block = Player().fill(BLOCK)
    assert block.dtype == np.float32
    assert block.shape == (BLOCK,)
    assert not block.any()


@given(st.lists(st.integers(0, 700), max_size=5), st.lists(st.integers(1, 600), min_size=1, max_size=12))
def test_every_sample_is_played_once_and_in_order(lengths: list[int], blocks: list[int]) -> None:
    player = Player()
    for length in lengths:
        player.play(ramp(length))
    wanted = np.concatenate([np.zeros(0, np.float32), *map(ramp, lengths)])
    played = np.concatenate([player.fill(frames) for frames in blocks])
    heard = min(len(wanted), len(played))
    assert np.array_equal(played[:heard], wanted[:heard])
    assert not played[heard:].any()
    assert player.left() == len(wanted) - heard


def test_a_cut_is_heard_within_the_next_block_and_does_not_click() -> None:
    player = Player()
    tone = np.sin(np.arange(MOUTH_RATE) * 2 * np.pi * 200 / MOUTH_RATE).astype(np.float32)
    player.play(tone)
    before = player.fill(BLOCK)
    player.cut()
    after = player.fill(BLOCK)
    assert not after[FADE:].any()
    steepest = np.abs(np.diff(tone)).max()
    assert np.abs(np.diff(np.concatenate([before, after]))).max() <= 1.2 * steepest


def test_what_is_played_after_a_cut_follows_the_fade_at_once() -> None:
    player = Player()
    player.play(np.ones(MOUTH_RATE, np.float32))
    player.fill(BLOCK)
    player.cut()
    player.play(np.full(BLOCK, 0.5, np.float32))
    block = player.fill(BLOCK)
    assert np.all(block[FADE:] == 0.5)
    assert np.all(np.diff(block[:FADE]) < 0)


def test_a_new_gain_is_reached_within_a_block_without_a_jump() -> None:
    player = Player()
    player.play(np.ones(3 * BLOCK, np.float32))
    player.fill(BLOCK)
    player.gain = 0.5
    turning, turned = player.fill(BLOCK), player.fill(BLOCK)
    assert turning[0] == 1.0
    assert np.abs(np.diff(turning)).max() < 0.002
    assert np.all(turned == 0.5)
