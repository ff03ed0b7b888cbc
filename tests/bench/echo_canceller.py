"""How much of the helper's own voice the sound server's echo canceller leaves, beside the same microphone without it.

A sound server of our own, PulseAudio, then PipeWire (apt install pipewire-pulse wireplumber): what is played into the
cable comes, some 60 ms later, to a second cable that stands for the microphone in a room. Both are recorded in the same
run.

    python tests/bench/echo_canceller.py
"""

import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).parent.parent))

from cable import running
from parts.options import asking
from pipewire import SERVERS

from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.speaker import Cable
from assistant.senses.portaudio import SWITCH_ON, canceller
from assistant.words.speech import Part, Say

SAID = "Welcome back to threading first evening. Say next when these are threaded. Middle, 16 ends. Even?"
SECONDS, LEARNING_S = 20, 2  # in all, and not counted at first
EAR_RATE = 16_000
STAYS = "source_dont_move=1 sink_dont_move=1"  # else PulseAudio moves it when another device becomes its usual one


def main() -> None:
    asking(__doc__).parse_args()
    with closing(Cable("en-us")) as mouth:
        mouth.utter([Say((Part(SAID),))])
        mouth.pull(1)
        said = np.resize(mouth.rest(), SECONDS * MOUTH_RATE)
    for name, (server, missing) in SERVERS.items():
        if missing:
            print(f"{name}: left out, without {', '.join(missing)}")
            continue
        with tempfile.TemporaryDirectory() as folder, server(Path(folder)) as env:
            soundfile.write(f"{folder}/said.wav", said, MOUTH_RATE)
            plain, left = recorded(folder, env)
        print(f"{name}: {plain:.1f} dB of full scale without, {left:.1f} with it; it leaves {left - plain:.0f} dB")


def recorded(folder: str, env: dict[str, str]) -> tuple[float, float]:
    """The levels of the own voice in the microphone and behind the canceller, in dB of full scale."""

    def run(command: str) -> str:
        return subprocess.run(command, env=env, shell=True, check=True, capture_output=True, text=True).stdout

    run("pactl load-module module-null-sink sink_name=room rate=32000 channels=1")
    run(f"pactl load-module module-loopback source=cable.monitor sink=room latency_msec=40 {STAYS}")
    run(f"{SWITCH_ON} source_master=room.monitor sink_master=cable")
    sink, source = (canceller(run(f"pactl list short {what}")) for what in ("sinks", "sources"))
    flags = ("--raw", "--format=s16le", f"--rate={EAR_RATE}", "--channels=1", "--latency-msec=50")
    with (
        open(f"{folder}/plain", "wb") as plain,
        open(f"{folder}/left", "wb") as left,
        running("parec", "-d", "room.monitor", *flags, env=env, stdout=plain),
        running("parec", "-d", str(source), *flags, env=env, stdout=left),
    ):
        time.sleep(2)
        run(f"paplay --device={sink} {folder}/said.wav")
    return level(f"{folder}/plain"), level(f"{folder}/left")


def level(file: str) -> float:
    """Once the canceller has learnt the way from loudspeaker to microphone."""
    sound = np.fromfile(file, np.int16)[LEARNING_S * EAR_RATE :] / 32768
    return float(20 * np.log10(sound.std() + 1e-9))


if __name__ == "__main__":
    main()
