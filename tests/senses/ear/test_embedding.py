"""The speech embedding, against the models that were published, as onnxruntime runs them.

Against what those gave once, and where they are here, against themselves: original_embedding.py says where to get them.
"""

import hashlib
import subprocess
import sys
from pathlib import Path

import numpy as np
import original_embedding
import pytest
from original_embedding import RANGE_DB, REFERENCES, Original

from assistant.senses.ear.embedding import BANDS, FEATURES, HOP, REACH, SPAN, STEP, WEIGHTS, Mel, features, log_mel

CLOSE = 1e-4  # what differs by rounding alone; features go up to 50
DERIVING = Path(__file__).parents[3] / "models" / "derive_embedding.py"


@pytest.fixture(scope="module")
def models() -> Path:
    folder = original_embedding.folder()
    if not folder:
        pytest.skip("the published models are not here: pip install --no-deps openwakeword==0.4.0")
    return folder


@pytest.fixture(scope="module")
def original(models: Path) -> Original:
    pytest.importorskip("onnxruntime")
    return Original(models)


def cut_off(mel: Mel) -> Mel:
    """As the original has it, which passes over what is far below the loudest of all it is given."""
    return np.asarray(np.maximum(mel, mel.max() - RANGE_DB / 10), np.float32)


def nothing_below_rounding(mel: Mel) -> Mel:
    """As ours has it, which passes over what is fainter than the rounding of samples."""
    return np.asarray(np.maximum(mel, 2), np.float32)


@pytest.mark.parametrize("name", ["noise", "tones", "speech"])
def test_a_sound_gives_what_the_published_models_gave(name: str) -> None:
    with np.load(REFERENCES) as given:
        samples, mel, embedded = (given[f"{name} {part}"] for part in ("samples", "mel", "features"))
    assert cut_off(log_mel(samples)) == pytest.approx(nothing_below_rounding(mel), abs=CLOSE)
    assert features(mel) == pytest.approx(embedded, abs=CLOSE)


@pytest.mark.parametrize("frames", [SPAN, SPAN + HOP - 1, SPAN + HOP, 150, 203])
def test_a_clip_of_any_length_gives_what_the_published_models_give(original: Original, frames: int) -> None:
    for samples in original_embedding.sounds(frames).values():
        mel = log_mel(samples)
        assert cut_off(mel) == pytest.approx(nothing_below_rounding(original.log_mel(samples)), abs=CLOSE)
        assert features(mel) == pytest.approx(original.features(mel), abs=CLOSE)


def test_the_packed_weights_are_those_that_the_notice_tells_of() -> None:
    assert hashlib.sha256(WEIGHTS.read_bytes()).hexdigest() in WEIGHTS.with_name("NOTICE").read_text(encoding="utf-8")


def test_the_packed_weights_are_derived_from_the_published_model(models: Path, tmp_path: Path) -> None:
    pytest.importorskip("onnx")
    derived = tmp_path / "derived.npz"
    asked = ["--model", str(models / "embedding_model.onnx"), "--to", str(derived)]
    subprocess.run([sys.executable, str(DERIVING), *asked], check=True)
    with np.load(WEIGHTS) as packed, np.load(derived) as anew:
        assert sorted(packed.files) == sorted(anew.files)
        assert all(np.array_equal(packed[name], anew[name]) for name in packed.files)


def test_several_clips_at_once_are_as_each_by_itself() -> None:
    clips = np.random.default_rng(2).normal(5, 1, (3, 90, BANDS)).astype(np.float32)
    assert np.array_equal(features(clips), np.stack([features(clip) for clip in clips]))


def test_a_frame_hangs_on_its_own_samples_only() -> None:
    samples = np.random.default_rng(4).normal(0, 3000, REACH + 20 * STEP).astype(np.int16)
    assert np.array_equal(log_mel(samples)[5:9], log_mel(samples[5 * STEP : 8 * STEP + REACH]))


@pytest.mark.parametrize(("samples", "frames"), [(0, 0), (REACH - 1, 0), (REACH, 1), (REACH + STEP - 1, 1)])
def test_only_whole_frames_count(samples: int, frames: int) -> None:
    assert log_mel(np.zeros(samples, np.int16)).tolist() == [[2.0] * BANDS] * frames


@pytest.mark.parametrize("frames", [0, 1, 2, SPAN - 1])
def test_too_short_a_clip_gives_nothing(frames: int) -> None:
    assert features(np.zeros((frames, BANDS), np.float32)).shape == (0, FEATURES)
    assert features(np.zeros((2, frames, BANDS), np.float32)).shape == (2, 0, FEATURES)
