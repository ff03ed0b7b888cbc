"""The helper's own voice in the ear: what it sets off, and how well a weaver is heard over it.

A rival hears the same sound in the same run: the same ear, always open, with nothing that knows the own voice.
Leaks are in dB, with digital full scale the same at both ends; echo with RT60 of 0.4 s, as strong as the direct sound.

    python tests/bench/own_voice.py --rounds 1
"""

import sys
from contextlib import closing
from pathlib import Path

import numpy as np
import soxr

sys.path.insert(0, str(Path(__file__).parent.parent / "rehearsal"))

from leaking import Leak, LeakyRoom, taught_in
from parts.options import asking, count
from parts.spoken import HELD_OUT, voice, word

from assistant.rehearsal.aloud import EAR_STEP, ROOM_NOISE
from assistant.rehearsal.weaver_voice import SystemVoice as MouthVoice
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.listener import Heard, Listener
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.speaker import Cable
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.words.language import load
from assistant.words.speech import Part, Say

ENGLISH = load("en")
TAUGHT = ("next", "repeat", "back", "finished", "find", "redo", "settle", "pause")
WORDS = [ENGLISH.commands[kind][0] for kind in ("next", "repeat", "back")]
SAID = [
    "Now threading first evening: 24 ends in 3 groups. right edge, 4 ends: one, two, three, four",
    "Say next when these are threaded. middle, 16 ends: one, two, three, four",
    "next",
    "four",
    "Say restart to thread it anew, settled if it is right after all, or continue to leave it marked.",
    "repeat",
    "right edge is off. 5 for 4, 1 end over. Shall we look for it? Say mistake.",
    "mistake",
]
WAYS = ("loudspeaker", "headset", "rival")
LONG = 60  # characters of what is long enough to be interrupted
LEAKS = (-10, -20, -30, -40, -50)
GAPS, LATE = (0.0, 0.05, 0.1, 0.15, 0.25), (0.0, 0.2, 0.3, 0.4, 0.5)  # seconds


class Open(Listener):
    """The rival."""

    def listen(self, block: np.ndarray, closed: bool) -> list[Heard]:
        return super().listen(block, False)


def session(
    engine: WordEngine, way: str, leak: Leak, rounds: int, weaver: str = ""
) -> tuple[int, int, int, float, bool]:
    """Of own activations (wrong commands where a weaver speaks), words said and heard; minutes; whether it leaked."""
    strays = said = right = 0
    with closing(Cable("en-us")) as mouth:
        own = OwnVoice(mouth.played, leaks=way == "loudspeaker")
        room = LeakyRoom(mouth, Open(engine) if way == "rival" else Listener(engine, own), 1, leak=leak)
        for turn, text in enumerate(SAID * rounds):
            mouth.utter([Say((Part(text),))])
            heard: list[Heard] = []
            if weaver and len(text) > LONG:
                for _ in range(40 + 13 * turn % 60):
                    heard += room.step()
                strays += sum(not weaver or each.kind is not None for each in heard)
                wanted = WORDS[said % len(WORDS)]
                clip = sixteen_bits(word(weaver, wanted, said))
                clip = np.pad(clip, (0, -len(clip) % EAR_STEP))
                heard = [each for block in clip.reshape(-1, EAR_STEP) for each in room.step(block)]
                for _ in range(25):
                    heard += room.step()
                said += 1
                hit = any(each.word == wanted for each in heard)
                right += hit
                heard = heard[hit:]
                mouth.utter(())
            for _ in range(round(4 / 0.02) if len(text) > LONG else 75):
                heard += room.step()
            strays += sum(not weaver or each.kind is not None for each in heard)
        return strays, said, right, room.now / 60, own.leaks


def gaps() -> None:
    """How many of some calls leave an utterance of the mouth's own after the ear has opened, nothing else guarding."""
    calls = [("next",), ("four",), ("even?",), ("1", "2", "3", "4"), ("middle, 16 ends. Even?",), ("repeat",)]
    clips = []
    with closing(Cable("en-us")) as mouth:
        for call in calls:
            mouth.utter([Say(tuple(Part(text, beat=len(call) > 1) for text in call))])
            mouth.pull(1)
            clips.append(soxr.resample(mouth.rest().astype(np.float64), MOUTH_RATE, EAR_RATE))
    print(f"own utterances in {len(clips)} calls, by the gap (s) and by how much later the device is than it says")
    print("late \\ gap     " + "".join(f"{gap:6.2f}" for gap in GAPS))
    for late in LATE:
        found = [sum(_after(clip, late, gap) for clip in clips) for gap in GAPS]
        print(f"{late:4.1f}           " + "".join(f"{each:6}" for each in found), flush=True)


def _after(clip: np.ndarray, late: float, gap: float) -> int:
    finder = WordFinder()
    response = Leak(-8, late, 0.6).response()
    sound = np.convolve(np.concatenate([np.zeros(EAR_RATE), clip, np.zeros(EAR_RATE)]), response)
    heard = sixteen_bits(sound * FULL_SCALE + np.random.default_rng(1).normal(0, ROOM_NOISE, len(sound)), FULL_SCALE)
    opened = EAR_RATE + len(clip) + round(gap * EAR_RATE)
    found = len([*finder.feed(heard[:EAR_RATE])])
    finder.skip(opened - EAR_RATE)
    return found + len([*finder.feed(heard[opened:])])


def strays(engines: dict[str, WordEngine], rounds: int) -> None:
    print("\nactivations by the own voice in a minute (of any kind, 'not understood' too), nobody speaking")
    for name, engine in engines.items():
        total = {way: [0, 0.0] for way in WAYS}
        for decibels in LEAKS:
            cells = []
            for way in WAYS:
                count, _, _, minutes, noticed = session(engine, way, Leak(decibels, 0.15), rounds)
                total[way] = [total[way][0] + count, total[way][1] + minutes]
                cells.append(f"{way} {count / minutes:5.1f}{' (noticed)' if way == 'headset' and noticed else ''}")
            print(f"{name:9} leak {decibels} dB: {'   '.join(cells)}", flush=True)
        rates = {way: max(count, 1) / minutes for way, (count, minutes) in total.items()}
        print(f"{name:9} ratio rival/headset: {rates['rival'] / rates['headset']:.0f} (none is counted as one)")


def recall(engines: dict[str, WordEngine], rounds: int) -> None:
    print("\nwords said over the mouth's own speech with a headset that were heard")
    for name, engine in engines.items():
        for decibels in (-200, -50, -40, -30):
            each = [
                session(engine, "headset", Leak(decibels, 0.15), rounds, weaver) for weaver in HELD_OUT if voice(weaver)
            ]
            said, right = sum(one[1] for one in each), sum(one[2] for one in each)
            others = sum(one[0] for one in each)
            print(f"{name:9} leak {decibels:4} dB: {right} of {said}, and {others} wrong commands", flush=True)


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--rounds", type=count, default=2, help="of eight utterances (%(default)s)")
    rounds = parser.parse_args().rounds
    gaps()
    engines: dict[str, WordEngine] = {
        "built-in": open_engine(ENGLISH),
        "taught": taught_in(MouthVoice("en-us"), TAUGHT),
    }
    strays(engines, rounds)
    recall({"built-in": engines["built-in"]}, rounds)


if __name__ == "__main__":
    main()
