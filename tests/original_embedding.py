"""The speech embedding as it was published, run by onnxruntime: what ours is compared with.

The models come with `pip install --no-deps openwakeword==0.4.0`, whose code is never run; or their folder is named by
HEDDLECALL_EMBEDDING. This writes what they give for a few sounds, for machines that have neither:

    python tests/original_embedding.py
"""

import os
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from said import pause, room, word

from assistant.senses.ear.embedding import HOP, REACH, SPAN, STEP
from assistant.senses.sound import EAR_RATE, sixteen_bits

REFERENCES = Path(__file__).parent / "senses" / "ear" / "embedding.npz"
FRAMES = 100  # of each sound of the references
RANGE_DB = 80  # below the loudest, where the original cuts off; ours does not, so that no frame hangs on others

Array = NDArray[np.float32]


def folder() -> Path | None:
    """Where the models lie, if they are here."""
    if named := os.environ.get("HEDDLECALL_EMBEDDING"):
        return Path(named)
    package = find_spec("openwakeword")
    places = package.submodule_search_locations if package else None
    return Path(places[0]) / "resources" / "models" if places else None


class Original:
    """Both models, in one thread."""

    def __init__(self, models: Path):
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 1
        self._mel, self._embedding = (
            onnxruntime.InferenceSession(models / name, options, providers=["CPUExecutionProvider"])
            for name in ("melspectrogram.onnx", "embedding_model.onnx")
        )

    def log_mel(self, samples: NDArray[np.int16]) -> Array:
        """Frames × bands, in units of 10 dB, as the embedding takes them; cut off RANGE_DB below the loudest."""
        (decibels,) = self._mel.run(None, {"input": samples[None].astype(np.float32)})
        return np.asarray(decibels[0, 0] / 10 + 2, np.float32)

    def features(self, mel: Array) -> Array:
        """Hops × numbers, each from its own frames."""
        starts = range(0, len(mel) - SPAN + 1, HOP)
        (given,) = self._embedding.run(None, {"input_1": np.stack([mel[at : at + SPAN] for at in starts])[..., None]})
        return np.asarray(given[:, 0, 0], np.float32)


def sounds(frames: int = FRAMES) -> dict[str, NDArray[np.int16]]:
    """Noise, tones and speech, of so many frames each."""
    length = (frames - 1) * STEP + REACH
    seconds = np.arange(length) / EAR_RATE
    tones = np.sin(2 * np.pi * 440 * seconds) + 0.01 * np.sin(2 * np.pi * 1500 * seconds**2)
    spoken = room(pause(0.1), word("position"), pause(0.1), word("next"), pause(length / EAR_RATE))
    return {
        "noise": sixteen_bits(np.random.default_rng(5).normal(0, 0.1, length)),
        "tones": sixteen_bits(0.5 * tones),
        "speech": spoken[:length],
    }


def main() -> None:
    """Write the references."""
    models = folder()
    if not models:
        raise SystemExit("the models are not here: pip install --no-deps openwakeword==0.4.0")
    original = Original(models)
    given: dict[str, NDArray[np.generic]] = {}
    for name, samples in sounds().items():
        mel = original.log_mel(samples)
        given |= {f"{name} samples": samples, f"{name} mel": mel, f"{name} features": original.features(mel)}
    np.savez_compressed(REFERENCES, **given)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
