"""Natural voices in a process of their own: `python render_natural.py`, which imports none of ours.

Not in that of render.py, for piper brings an espeak-ng that ends a process where another one is. Requests and answers
are as there:

    {"kind", "model", "text", "speed", "file"}  ->  {} when the file is written, else {"error": why}

Voices of piper say a text the same way every time, without the variation by chance that they were trained with.
"""

import json
import os
import signal
import sys
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

USUAL = 175  # words a minute, at which a voice speaks as it was trained
Say = Callable[[str, float, int], tuple[NDArray[np.float32], int]]  # a text, a pace, a take -> samples and their rate


def piper(model: str) -> Say:
    """A voice of piper, by its file; its description lies beside it, in the same name with ".json" after it."""
    from piper import PiperVoice, SynthesisConfig

    voice = PiperVoice.load(model)

    def say(text: str, pace: float, _take: int) -> tuple[NDArray[np.float32], int]:
        steady = SynthesisConfig(length_scale=voice.config.length_scale / pace, noise_scale=0.0, noise_w_scale=0.0)
        chunks = [chunk.audio_float_array for chunk in voice.synthesize(text, steady)]
        return np.concatenate([np.zeros(0, np.float32), *chunks]), voice.config.sample_rate

    return say


def hibari(_model: str = "") -> Say:
    """The voice that the package hibari-tts has in it, which varies from take to take."""
    from hibari import Hibari

    voice = Hibari()
    return lambda text, pace, take: (np.asarray(voice(text, speed=pace, seed=take), np.float32), voice.sample_rate)


KINDS: dict[str, Callable[[str], Say]] = {"piper": piper, "hibari": hibari}


@lru_cache(maxsize=1)
def opened(kind: str, model: str) -> Say:
    """A voice, which takes a second or two to read."""
    return KINDS[kind](model)


def render(kind: str, model: str, text: str, speed: int, file: str) -> dict[str, Any]:
    """Write what is said to a file."""
    try:
        samples, rate = opened(kind, model)(text, speed / USUAL, 0)
        soundfile.write(file, samples, rate)
    except Exception as error:  # whatever a library says of a damaged voice
        return {"error": (str(error).strip().splitlines() or [type(error).__name__])[0]}
    return {}


def main() -> None:
    """Answer requests until there are no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    for line in sys.stdin:
        print(json.dumps(render(**json.loads(line))), file=answers, flush=True)


if __name__ == "__main__":
    main()
