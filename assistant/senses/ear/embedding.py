"""Speech as a small general network hears it: 96 numbers for each 80 ms, from the 0.78 s around.

The network is that of Lin et al. (2020), "Training keyword spotters with limited and synthesized speech data", arXiv
2002.01322; weights/NOTICE says where its weights come from, and models/derive_embedding.py derives them. Twenty
convolutions of three bands or three frames, by turns; in time nothing is filled up, so that a whole clip is computed at
once and gives what each 0.78 s of it would give alone. Every product is so small that no threads are started for it.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.senses.sound import EAR_RATE

STEP, REACH = 160, 512  # samples: from frame to frame, and what a frame needs
WINDOW, POINTS = 400, 512  # samples that count of a frame, in its middle, and of its spectrum
BANDS, LOWEST, HIGHEST = 32, 60, 3800  # mel bands, and the Hz they reach over
FAINTEST = 1.0  # least energy of a band, with samples of 16 bits: what rounding to them alone makes
SPAN, HOP = 76, 8  # frames of which one vector is made, and from one to the next
FEATURES = 96
STAGES = ((1, 2), (2, 1), (2, 2), (2, 1), (2, 2))  # pairs of convolutions, and frames made one after them
EARLY = 3  # stages that stay as they were published
LATE = 1 + sum(2 * pairs for pairs, _ in STAGES[:EARLY])  # the first layer after them
LEAK, DEEPEST = np.float32(0.2), np.float32(-0.4)  # what is left of values below 0, and the least of them
WEIGHTS = Path(__file__).parent / "weights" / "embedding.npz"

Mel = NDArray[np.float32]  # frames × BANDS, a frame each 10 ms
Sounds = NDArray[np.float32]  # frames × bands × channels
Layer = tuple[NDArray[np.float32], NDArray[np.float32]]  # taps × channels × channels after it; and their biases


def log_mel(samples: NDArray[np.int16]) -> Mel:
    """The level in each band, frames × BANDS, from samples at 16 kHz: in units of 10 dB, 2 where nothing is heard.

    A frame every STEP samples as long as REACH samples are left, each from its own samples only.
    """
    middle = (REACH - WINDOW) // 2
    frames = max(0, (len(samples) - REACH) // STEP + 1)
    if not frames:
        return np.zeros((0, BANDS), np.float32)
    sound = samples[middle:].astype(np.float32)
    windows = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::STEP][:frames]
    spectra = np.fft.rfft(windows * _window(), POINTS)
    power = (spectra.real**2 + spectra.imag**2).astype(np.float32)
    energies = (power[:, None] @ filters())[:, 0]
    return np.asarray(np.log10(np.maximum(energies, np.float32(FAINTEST))) + 2, np.float32)


def features(mel: Mel, last: Sequence[Layer] = ()) -> NDArray[np.float32]:
    """Hops × FEATURES, one for each SPAN frames, every HOP frames: of a clip, frames × BANDS as `log_mel` has them.

    Of several clips, clips × frames × BANDS, clips × hops × FEATURES; none where there are fewer frames than SPAN.
    `last`: what the layers from LATE on are to be, where they are others than the published ones.
    """
    if mel.ndim == 3:
        return np.stack([features(clip, last) for clip in mel])
    if len(mel) < SPAN:
        return np.zeros((0, FEATURES), np.float32)
    layers = iter(last or _weights()[LATE:])
    sounds = _through(STAGES[EARLY:], early(mel), layers)
    return _convolved(_in_turn(sounds), next(layers))[:, 0]


def early(mel: Mel) -> Sounds:
    """What the layers before LATE make of a clip of at least SPAN frames."""
    layers = iter(_weights())
    return _through(STAGES[:EARLY], _first(mel, next(layers)), layers)


def late_layers() -> Sequence[Layer]:
    """The published ones from LATE on."""
    return _weights()[LATE:]


def _through(stages: Sequence[tuple[int, int]], sounds: Sounds, layers: Iterator[Layer]) -> Sounds:
    for pairs, frames in stages:
        for _ in range(pairs):
            sounds = _active(_convolved(_beside(sounds), next(layers)))
            sounds = _active(_convolved(_in_turn(sounds), next(layers)))
        sounds = _largest(sounds, frames)
    return sounds


def _first(mel: Mel, layer: Layer) -> Sounds:
    """Three frames by three bands at once; what is below the bias counts as the bias."""
    (kernel, bias), bands = layer, np.pad(mel, ((0, 0), (1, 1)))
    squares = np.lib.stride_tricks.sliding_window_view(bands, (3, 3)).reshape(-1, BANDS, 9)
    return _active(np.maximum(squares @ kernel + bias, bias))


def _beside(sounds: Sounds) -> list[Sounds]:
    """Each band's neighbour below, itself, and its neighbour above; a lone band has none."""
    bands = sounds.shape[1]
    padded = np.pad(sounds, ((0, 0), (1, 1), (0, 0)))
    return [padded[:, tap : tap + bands] for tap in range(3)]


def _in_turn(sounds: Sounds) -> list[Sounds]:
    """Three frames, one after the other."""
    frames = len(sounds) - 2
    return [sounds[tap : tap + frames] for tap in range(3)]


def _convolved(taps: Sequence[Sounds], layer: Layer) -> Sounds:
    kernel, bias = layer
    total: Sounds = taps[0] @ kernel[0]
    for tap, weights in zip(taps[1:], kernel[1:], strict=True):
        total += tap @ weights
    total += bias
    return total


def _active(sounds: Sounds) -> Sounds:
    """In place: nobody else has them."""
    below = sounds * LEAK
    np.maximum(below, DEEPEST, out=below)
    np.maximum(sounds, below, out=sounds)
    return sounds


def _largest(sounds: Sounds, frames: int) -> Sounds:
    """Of each pair of bands, and of so many frames."""
    sounds = np.maximum(sounds[:, 0::2], sounds[:, 1::2])
    if frames == 1:
        return sounds
    whole = len(sounds) // 2 * 2
    return np.maximum(sounds[0:whole:2], sounds[1:whole:2])


@cache
def filters() -> NDArray[np.float32]:
    """Bins × BANDS: triangles of one area, evenly in Slaney's mel, linear to 1 kHz, then by logarithm."""
    corners = _hertz(np.linspace(_mel(LOWEST), _mel(HIGHEST), BANDS + 2))
    bins = np.arange(POINTS // 2 + 1)[:, None] * (EAR_RATE / POINTS)
    left, middle, right = corners[:-2], corners[1:-1], corners[2:]
    rising, falling = (bins - left) / (middle - left), (right - bins) / (right - middle)
    return np.asarray(np.clip(np.minimum(rising, falling), 0, None) * 2 / (right - left), np.float32)


LINEAR, LINEAR_UP_TO, LOGARITHMIC = 200 / 3, 15, np.log(6.4) / 27  # Hz of a mel; mels; of a mel above them


def _mel(hertz: float) -> float:
    mel = hertz / LINEAR
    return float(mel if mel < LINEAR_UP_TO else LINEAR_UP_TO + np.log(mel / LINEAR_UP_TO) / LOGARITHMIC)


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    above = np.maximum(mel - LINEAR_UP_TO, 0)
    return np.asarray(LINEAR * np.minimum(mel, LINEAR_UP_TO) * np.exp(LOGARITHMIC * above))


@cache
def _window() -> NDArray[np.float32]:
    """Hann's, periodic."""
    return np.asarray(np.hanning(WINDOW + 1)[:-1], np.float32)


@cache
def _weights() -> list[Layer]:
    with np.load(WEIGHTS) as packed:
        return [*_layers(packed)]


def _layers(packed: "np.lib.npyio.NpzFile") -> Iterator[Layer]:
    for number in range(len(packed.files) // 2):
        yield packed[f"kernel {number}"], packed[f"bias {number}"]
