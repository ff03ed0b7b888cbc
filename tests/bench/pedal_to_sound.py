"""From a pedal press to the first sample of the new call: the mouth against pyttsx3 called plainly, in one run.

    python tests/bench/pedal_to_sound.py 20

The mouth, its clips at hand: from the moment the new call is given to `utter`
- "handed over": until utter has returned, the samples then lying where the output stream takes them from;
- "taken": until a block with the first sample in it was taken. A thread that asks for a block every 23 ms stands for
  the sound device, so that half a block of waiting is to be expected.

pyttsx3, its engine running, with the same voice: from the moment `say()` is called
- "handed over": until the program it starts for every utterance, aplay, runs. A stand-in for aplay, found first on the
  PATH, notes that moment and sleeps as long as the sound lasts. Nothing is measured for "taken": the real aplay would
  still have to open the sound device.

Two cases: the press comes in silence; the press comes half a second into a call, when pyttsx3 called plainly can say
nothing new before the old call has ended.
"""

import os
import random
import statistics
import tempfile
import time
from pathlib import Path

from parts.options import asking, count
from parts.paced import BLOCK_S, FADE, Paced

from assistant.senses.mouth import SPEED
from assistant.senses.mouth.render import find_bundled_espeak
from assistant.words.speech import Part, Say

INTO_A_CALL_S = 0.5
CALL = Say(tuple(Part(shaft, beat=True) for shaft in ("1", "2", "3", "4")))
APLAY = """#!/bin/sh
date +%s%N >> {log}
sleep $(awk "BEGIN {{ print ($(wc -c < "$1") - 44) / 44100 }}")
"""


def press(mouth: Paced) -> tuple[float, float]:
    """Seconds from a press until the call is handed over, and until its first sample is taken."""
    time.sleep(random.uniform(0, BLOCK_S))
    mouth.taken.clear()
    pressed = time.perf_counter()
    mouth.utter([CALL])
    handed_over = time.perf_counter()
    while True:
        for when, block in mouth.taken:
            if when > handed_over and block[FADE:].any():
                return handed_over - pressed, when - pressed
        time.sleep(0.001)


def press_in_silence(mouth: Paced) -> tuple[float, float]:
    mouth.utter([])
    time.sleep(0.2)
    return press(mouth)


def press_in_a_call(mouth: Paced) -> tuple[float, float]:
    mouth.utter([CALL])
    time.sleep(INTO_A_CALL_S)
    return press(mouth)


class Plain:
    """pyttsx3 as its guide shows it."""

    def __init__(self, folder: Path):
        self._log = folder / "log"
        player = folder / "aplay"
        player.write_text(APLAY.format(log=self._log))
        player.chmod(0o755)
        os.environ["PATH"] = f"{folder}{os.pathsep}{os.environ['PATH']}"
        find_bundled_espeak()
        import pyttsx3

        self._engine = pyttsx3.init()
        self._engine.setProperty("voice", "gmw/en-us")
        self._engine.setProperty("rate", SPEED)
        self.say()
        time.sleep(4)  # the first runAndWait returns before it is done

    def say(self) -> float:
        """When it was called, in seconds since the epoch."""
        called = time.time()
        self._engine.say("1, 2, 3, 4")
        self._engine.runAndWait()
        return called

    def started(self, nth_last: int) -> float:
        """When the player program was started."""
        return int(self._log.read_text().split()[-nth_last]) / 1e9

    def in_silence(self) -> float:
        called = self.say()
        return self.started(1) - called

    def in_a_call(self) -> float:
        self.say()
        self.say()
        return self.started(1) - (self.started(2) + INTO_A_CALL_S)


def report(case: str, ours: list[tuple[float, float]], theirs: list[float]) -> None:
    handed_over, taken = (statistics.median(times) for times in zip(*ours, strict=True))
    latest = max(when for _, when in ours)
    plain = statistics.median(theirs)
    print(f"{case}, medians of {len(ours)}:")
    print(
        f"  mouth: handed over after {1000 * handed_over:.2f} ms, taken after {1000 * taken:.1f} ms,"
        f" at the latest after {latest / BLOCK_S:.2f} blocks"
    )
    print(f"  pyttsx3: handed over after {1000 * plain:.1f} ms")
    print(f"  ratios: {plain / handed_over:.1f} to the mouth's handing over, {plain / taken:.1f} to its taking")


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("presses", nargs="?", type=count, default=10, help="in each case (%(default)s)")
    presses = parser.parse_args().presses
    with tempfile.TemporaryDirectory() as folder:
        mouth = Paced(Path(folder, "clips"))
        mouth.utter([CALL])
        while mouth.speaking():
            time.sleep(0.1)
        ours = [press_in_silence(mouth) for _ in range(presses)], [press_in_a_call(mouth) for _ in range(presses)]
        mouth.close()
        plain = Plain(Path(folder))
        theirs = [plain.in_silence() for _ in range(presses)], [plain.in_a_call() for _ in range(presses)]
    for case, mouths, plains in zip(("In silence", "Half a second into a call"), ours, theirs, strict=True):
        report(case, mouths, plains)


if __name__ == "__main__":
    main()
