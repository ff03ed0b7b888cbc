"""An hour's listening: processor time and memory of the ear, beside a plain continuous grammar recogniser.

Both hear the same mixture from memory as fast as they can: quiet, other people's talk, and now and then a command.
Each runs in a process of its own, so that its peak memory is its own.

    python tests/bench/listening.py --minutes 5
"""

import multiprocessing
import resource
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from parts.options import asking, count
from parts.plain import decoded
from said import Sound, pause, room, word

from assistant.senses.ear.engine import meanings
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load

TALK = ["people", "remember", "everything", "because", "music", "yesterday", "the", "water", "house", "seventy"]
COMMANDS = ["next", "next", "repeat", "previous"]
BLOCK = 480

Spent = tuple[int, float, float]  # commands found, seconds of the processor, MB at most


def minute(seed: int) -> Sound:
    """A minute: fifteen seconds of talk, four commands, quiet between."""
    order = np.random.default_rng(seed)
    talk = np.concatenate([word(TALK[n]) for n in order.integers(0, len(TALK), 40)])[: 15 * EAR_RATE]
    commands = [part for text in COMMANDS for part in (pause(4), word(text))]
    sound = room(pause(1), talk, pause(1), *commands)
    return np.concatenate([sound, room(pause(60 - len(sound) / EAR_RATE))])


def ours(sounds: list[Sound]) -> int:
    """Commands heard by the ear."""
    from assistant.senses.ear.listener import Listener
    from assistant.senses.ear.opening import open_engine

    listener = Listener(open_engine(load("en")))
    blocks = (sound[at : at + BLOCK] for sound in sounds for at in range(0, len(sound), BLOCK))
    return sum(heard.kind is not None for block in blocks for heard in listener.listen(block, False))


def plain(sounds: list[Sound]) -> int:
    """Commands found by a grammar that decodes all there is, cut where the detector finds an end."""
    from pocketsphinx import Decoder, Endpointer

    decoder, ends = Decoder(lm=None, loglevel="FATAL"), Endpointer()
    words = " | ".join(text.lower() for text in meanings(load("en"), 0))
    decoder.add_jsgf_string("plain", f"#JSGF V1.0; grammar plain; public <words> = ({words})+;")
    decoder.activate_search("plain")
    utterances = (end for sound in sounds for end in decoded(decoder, ends, sound))
    return sum(len(decoder.hyp().hypstr.split()) if decoder.hyp() else 0 for _ in utterances)


def measure(name: str, few: list[Sound], minutes: int, answer: "multiprocessing.Queue[Spent]") -> None:
    """Listen to so many minutes in the process this runs in."""
    began = time.process_time()
    found = {"ours": ours, "plain": plain}[name]([few[n % len(few)] for n in range(minutes)])
    answer.put((found, time.process_time() - began, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024))


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--minutes", type=count, default=60, help="of listening (%(default)s)")
    minutes = parser.parse_args().minutes
    few = [minute(seed) for seed in range(6)]
    spent = {}
    for name in ("ours", "plain"):
        answer: multiprocessing.Queue[Spent] = multiprocessing.get_context("spawn").Queue()
        process = multiprocessing.get_context("spawn").Process(target=measure, args=(name, few, minutes, answer))
        process.start()
        found, spent[name], memory = answer.get()
        process.join()
        said = len(COMMANDS) * minutes
        share = spent[name] / (60 * minutes)
        print(f"{name:6} {found:5} commands of {said} said   {100 * share:5.1f} % of a core   {memory:5.0f} MB at most")
    print(f"ratio of processor time, plain/ours: {spent['plain'] / spent['ours']:.2f}")
    print(f"targets, for {minutes} min: under 25 % of a core, under 250 MB")


if __name__ == "__main__":
    main()
