"""The speech embedding of a clip of 1.5 s, in numpy, beside onnxruntime with the published model, one thread each.

The published model takes 0.78 s at a time, so that it computes most of a clip several times over: ten times for one of
1.5 s, here in one call. The processor's time is told, which other programs change less than the clock's.

    python tests/bench/embedding.py --clips 50
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parent.parent))

from original_embedding import Original, folder, sounds
from parts.options import asking, count

from assistant.senses.ear.embedding import features, log_mel

FRAMES = 150


def milliseconds(done: Callable[[], object]) -> float:
    """Of the processor, in all threads."""
    began = time.process_time()
    done()
    return 1000 * (time.process_time() - began)


def main() -> None:
    """Both by turns, and how they compare."""
    parser = asking(__doc__)
    parser.add_argument("--clips", type=count, default=100, help="how many (%(default)s)")
    clips, models = parser.parse_args().clips, folder()
    if not models:
        raise SystemExit("the published models are not here: pip install --no-deps openwakeword==0.4.0")
    original, sound = Original(models), sounds(FRAMES)["speech"]
    mel = log_mel(sound)
    ways: dict[str, tuple[Callable[[], object], Callable[[], object]]] = {
        "log-mel": (lambda: log_mel(sound), lambda: original.log_mel(sound)),
        "embedding": (lambda: features(mel), lambda: original.features(mel)),
    }
    for name, (ours, rival) in ways.items():
        spent = [(milliseconds(ours), milliseconds(rival)) for _ in range(clips)]
        mine, theirs = (median(each) for each in zip(*spent, strict=True))
        print(f"{name:9} {mine:6.2f} ms a clip, onnxruntime {theirs:6.2f} ms: {theirs / mine:.2f} times")


if __name__ == "__main__":
    main()
