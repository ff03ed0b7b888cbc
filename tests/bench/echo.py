"""How long a room goes on sounding, as the room check tells it by a dozen words, beside how the level falls after them.

Voices say words in rooms made by image sources (pyroomacoustics; pip install 'heddlecall[bench]'), at every distance; a
quiet noise is always there. Each cell: what is told in seconds in the middle, and from the tenth to the ninetieth
percentile.

    python tests/bench/echo.py --draws 4
"""

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from parts.conditions import echoing, missing
from parts.options import asking, count
from parts.spoken import RATE, ROOM_DB, WEAVER_DB, Sound, at_level, silence, voice, white, word

from assistant.senses.ear.echo import echo_of, falls
from assistant.senses.ear.room import LATELY
from assistant.senses.sound import sixteen_bits

ECHOES_S = (0.15, 0.3, 0.5, 0.8)
DISTANCES = (0.3, 0.8, 1.6, 2.5)  # m
VOICES = ("joe", "hibari", "rms", "slt", "awb")
WORDS = ("next", "repeat", "previous", "position", "finished", "uneven", "short", "restart", "settled", "louder")
BEFORE_S, DECIDED_AFTER_S = 1.5, 0.24  # a word
OVER_NOISE_DB, LEAST_LEVELS = 3.0, 4  # of what is left of a word, and how many of 10 ms make a line


def told(name: str, echo_s: float, distance: float, draw: int) -> tuple[float | None, float | None]:
    """The echo as it is told, and by the level after each word; None where too little was heard."""
    chance = np.random.default_rng([draw, *name.encode()])
    words = [word(name, text, draw) for text in chance.choice(WORDS, LATELY)]
    heard = [_heard(each, echo_s, distance, draw, (draw, at)) for at, each in enumerate(words)]
    start = round(BEFORE_S * RATE)
    echo = echo_of([falls(sixteen_bits(sound), start) for sound in heard])
    after = [_level_falls(sound[start + len(each) :]) for sound, each in zip(heard, words, strict=True)]
    steepness = [each for each in after if each is not None]
    return echo, 60 / float(np.median(steepness)) if steepness else None


def _heard(said: Sound, echo_s: float, distance: float, draw: int, seed: Sequence[int]) -> Sound:
    sound = np.concatenate([silence(BEFORE_S), said, silence(DECIDED_AFTER_S)])
    return at_level(echoing(sound, echo_s, distance, draw), WEAVER_DB) + white(len(sound), ROOM_DB, seed)


def _level_falls(after: Sound) -> float | None:
    """In dB/s, by a straight line through what stands out of the noise; None where too little does."""
    power = (after[: len(after) // 160 * 160].reshape(-1, 160) ** 2).mean(axis=1)
    levels = 10 * np.log10(np.maximum(power - 10 ** (ROOM_DB / 10), 1e-12))
    faint = np.flatnonzero(levels < ROOM_DB + OVER_NOISE_DB)
    clear = levels[: faint[0]] if len(faint) else levels
    return -100 * float(np.polyfit(np.arange(len(clear)), clear, 1)[0]) if len(clear) >= LEAST_LEVELS else None


def _cell(seconds: Sequence[float | None]) -> str:
    known = [each for each in seconds if each is not None]
    if not known:
        return "–"
    low, middle, high = np.percentile(known, [10, 50, 90])
    return f"{middle:.2f} ({low:.2f} to {high:.2f})"


def main() -> None:
    """A row for each echo and distance."""
    parser = asking(__doc__)
    parser.add_argument("--draws", type=count, default=2, help="places in the room, for each voice (%(default)s)")
    draws = parser.parse_args().draws
    if missing():
        raise SystemExit("rooms are made by pyroomacoustics: pip install 'heddlecall[bench]'")
    print("| echo | distance | told | by the level after a word |\n| ---: | ---: | ---: | ---: |")
    for echo_s in ECHOES_S:
        for distance in DISTANCES:
            both = [told(name, echo_s, distance, draw) for name in VOICES if voice(name) for draw in range(draws)]
            ours, rival = zip(*both, strict=True)
            print(f"| {echo_s:g} s | {distance:g} m | {_cell(ours)} | {_cell(rival)} |", flush=True)


if __name__ == "__main__":
    main()
