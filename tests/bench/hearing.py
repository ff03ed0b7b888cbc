"""How well taught words are heard, beside a plain grammar recogniser that hears the same sound in the same run.

A weaver's voice teaches twelve commands by three examples each in a quiet room. Then the commands come in a stream,
said anew, clean and in noise; and other people talk at the weaver's own level. Voices not used in tuning, unless asked.
SNR: the mean power of a word's frames within 30 dB of its loudest, at the weaver's usual level, to that of the noise.

Run with: python tests/bench/hearing.py [--hours H] [--repetitions N] [--tuning]
"""

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from itertools import cycle
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent))

from spoken import (
    HELD_OUT,
    RATE,
    ROOM_DB,
    TALKERS,
    TUNING,
    WEAVER_DB,
    Sound,
    babble,
    human_speech,
    silence,
    sixteen_bits,
    talker,
    talking,
    voice,
    white,
    word,
)

from assistant.languages import load
from assistant.senses.ear.listener import Listener
from assistant.senses.ear.segmenter import Segmenter
from assistant.senses.ear.taught.engine import TaughtEngine
from assistant.senses.ear.taught.features import mel_energies
from assistant.senses.ear.taught.finder import Finder
from assistant.senses.ear.taught.judging import judge
from assistant.senses.ear.taught.store import Taught
from assistant.senses.ear.taught.templates import Example

ENGLISH = load("en")
KINDS = ("next", "repeat", "back", "where", "done", "short", "over", "redo", "find", "unsure", "pause", "resume")
WORDS = {kind: "pause" if kind == "pause" else ENGLISH.commands[kind][0] for kind in KINDS}
TAUGHT = 3  # examples a word
NEAR_S = 0.35  # between the end of a word and where it was heard to end
BLOCK = 480
NOISES: dict[str, Callable[[int, float, int], Sound]] = {"white": white, "babble": babble, "talker": talker}
CONDITIONS = [("clean", 0), *((noise, snr) for noise in ("white", "babble") for snr in (20, 15, 10, 5))]
CONDITIONS += [("talker", 20), ("talker", 10)]
RIVAL_MINUTES = 2  # of talk: enough for its rate
TALK_S = 120.0  # in one go

Heard = tuple[str, float, float]  # a command's kind, when it ended, when that was decided
Ear = Callable[[NDArray[np.int16]], list[Heard]]


@dataclass
class Score:
    """Of one engine in one condition."""

    said: int = 0
    right: int = 0
    wrong: int = 0
    delays: list[float] = field(default_factory=list)

    def add(self, heard: list[Heard], truth: list[tuple[str, float]]) -> None:
        for kind, end in truth:
            near = [each for each in heard if abs(each[1] - end) < NEAR_S]
            self.said += 1
            self.right += any(each[0] == kind for each in near)
            self.wrong += any(each[0] != kind for each in near)
            self.delays += [decided - end for each, _, decided in near if each == kind]


def taught_by(name: str) -> TaughtEngine:
    """An ear that has heard each word three times in a quiet room."""
    examples = []
    for kind, text in WORDS.items():
        for repetition in range(TAUGHT):
            sound = np.concatenate([silence(1), word(name, text, repetition), silence(1)])
            finder = Finder()
            found = [*finder.feed(sixteen_bits(sound + white(len(sound), ROOM_DB, repetition)))]
            examples += [Example(kind, mel_energies(each.samples)) for each in found[:1]]
    judged = judge(examples)
    for fault in judged.faults.values():
        print(f"{name}: left out in teaching: {fault}", flush=True)
    return TaughtEngine(ENGLISH, Taught(name, tuple(examples[place] for place in judged.good), judged.reach))


def ours(engine: TaughtEngine, sound: NDArray[np.int16], expect: int = 0) -> list[Heard]:
    listener = Listener(engine)
    listener.expect(expect)
    blocks = (sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK))
    heard = [each for block in blocks for each in listener.listen(block, False)]
    return [(each.kind.value, each.word_end_s, each.decided_s) for each in heard if each.kind]


class Plain:
    """A grammar of the same words that decodes all there is, cut where pocketsphinx's own detector finds an end."""

    def __init__(self) -> None:
        from pocketsphinx import Decoder

        self._decoder = Decoder(lm=None, loglevel="FATAL")
        self._kinds = {text: kind for kind, text in WORDS.items()}
        grammar = f"#JSGF V1.0; grammar plain; public <words> = ({' | '.join(self._kinds)})+;"
        self._decoder.add_jsgf_string("plain", grammar)
        self._decoder.activate_search("plain")

    def __call__(self, sound: NDArray[np.int16]) -> list[Heard]:
        from pocketsphinx import Endpointer

        ends, heard = Endpointer(), []
        step = ends.frame_bytes // 2
        for at in range(0, len(sound) - step, step):
            before = ends.in_speech
            speech = ends.process(sound[at : at + step].tobytes())
            if speech is None:
                continue
            if not before:
                self._decoder.start_utt()
            self._decoder.process_raw(speech)
            if not ends.in_speech:
                heard += self._found(ends.speech_start, (at + step) / RATE)
        if ends.in_speech:
            heard += self._found(ends.speech_start, len(sound) / RATE)
        return heard

    def _found(self, start: float, now: float) -> Iterator[Heard]:
        """The commands in what was said; a command of two words is put together again."""
        self._decoder.end_utt()
        parts = [part for part in self._decoder.seg() or [] if part.word[0] not in "<["]
        spelled = [part.word.partition("(")[0] for part in parts]
        at = 0
        while at < len(parts):
            length = 2 if " ".join(spelled[at : at + 2]) in self._kinds else 1
            kind = self._kinds.get(" ".join(spelled[at : at + length]))
            end = parts[min(at + length, len(parts)) - 1].end_frame / 100
            at += length
            if kind:
                yield kind, start + end, now


def stream(name: str, condition: tuple[str, int], repetition: int) -> tuple[NDArray[np.int16], list[tuple[str, float]]]:
    """Every word once, one to three seconds apart; and when each ends."""
    noise, snr = condition
    seed = 1000 * repetition + snr
    chance = np.random.default_rng(seed)
    parts, truth, length = [silence(5)], [], 5 * RATE
    for kind in chance.permutation(KINDS):
        said, pause = word(name, WORDS[kind], repetition), silence(chance.uniform(1.5, 3))
        truth.append((str(kind), (length + len(said)) / RATE))
        parts += [said, pause]
        length += len(said) + len(pause)
    sound = np.concatenate(parts) + white(length, ROOM_DB, seed)
    if noise in NOISES:
        sound += NOISES[noise](length, WEAVER_DB - snr, seed)
    return sixteen_bits(sound), truth


@dataclass
class Report:
    """What came of one weaver's voice."""

    voice: str
    scores: dict[tuple[str, tuple[str, int]], Score]
    false: dict[tuple[str, str], tuple[int, float]]  # engine, speech -> how many, in how many seconds
    computing: list[float]  # seconds a decision
    share: float  # of a core while listening


def measure(name: str, repetitions: int, hours: float) -> Report:
    engine = taught_by(name)
    ears: dict[str, Ear] = {"taught": partial(ours, engine), "grammar": Plain()}
    scores: dict[tuple[str, tuple[str, int]], Score] = defaultdict(Score)
    spent, heard_s = 0.0, 0.0
    for condition in CONDITIONS:
        for repetition in range(TAUGHT, TAUGHT + repetitions):
            sound, truth = stream(name, condition, repetition)
            for ear, hears in ears.items():
                if ear == "taught" or repetition == TAUGHT:
                    began = time.process_time()
                    scores[ear, condition].add(hears(sound), truth)
                    spent += time.process_time() - began if ear == "taught" else 0
            heard_s += len(sound) / RATE
    false = talk(name, ears, hours) | people(ears)
    return Report(name, dict(scores), false, computing(name, engine), spent / heard_s)


def talk(name: str, ears: dict[str, Ear], hours: float) -> dict[tuple[str, str], tuple[int, float]]:
    """What is heard while others talk, without end, at the level of the weaver's own voice."""
    others = cycle([other for other in TALKERS if other != name and voice(other)])
    found: dict[str, int] = defaultdict(int)
    seconds: dict[str, float] = defaultdict(float)
    for seed in range(round(hours * 3600 / TALK_S)):
        sound = np.concatenate([*talking(next(others), TALK_S, seed)])
        heard = sixteen_bits(sound + white(len(sound), ROOM_DB, seed))
        for ear, hears in ears.items():
            if ear == "taught" or seconds[ear] < RIVAL_MINUTES * 60:
                found[ear] += len(hears(heard))
                seconds[ear] += len(heard) / RATE
    return {(ear, "synthetic"): (found[ear], seconds[ear]) for ear in ears}


def people(ears: dict[str, Ear]) -> dict[tuple[str, str], tuple[int, float]]:
    """What is heard in recordings of people, none of whom says a command by itself."""
    sounds = [*human_speech()]
    seconds = sum(map(len, sounds)) / RATE
    return {(ear, "human"): (sum(len(hears(sound)) for sound in sounds), seconds) for ear, hears in ears.items()}


def computing(name: str, engine: TaughtEngine) -> list[float]:
    """Seconds that a decision takes, for each word."""
    sound, _ = stream(name, ("clean", 0), TAUGHT)
    spent = []
    for each in Segmenter().feed(sound):
        began = time.perf_counter()
        engine.recognise(each.samples, 0)
        spent.append(time.perf_counter() - began)
    return spent


def show(reports: list[Report], repetitions: int) -> None:
    print(f"\nrecall in %, in brackets wrong words; {repetitions} repetitions of {len(KINDS)} words (grammar: one)")
    names = [report.voice for report in reports]
    print(f"{'':12}" + "".join(f"{ear:>9}{name:>10}" for ear in ("taught", "grammar") for name in [*names, "all"]))
    for condition in CONDITIONS:
        cells = []
        for ear in ("taught", "grammar"):
            each = [report.scores[ear, condition] for report in reports]
            cells += [(score.said, score.right, score.wrong) for score in each]
            cells.append(tuple(np.sum(cells[-len(each) :], axis=0)))
        label = condition[0] if condition[0] == "clean" else f"{condition[0]} {condition[1]} dB"
        print(f"{label:12}" + "".join(f"{100 * right / said:14.1f} ({wrong:2})" for said, right, wrong in cells))
    delays = [
        delay
        for report in reports
        for (ear, _), score in report.scores.items()
        if ear == "taught"
        for delay in score.delays
    ]
    clean = [d for report in reports for d in report.scores["taught", ("clean", 0)].delays]
    for label, those in (("clean", clean), ("all", delays)):
        middle, most = np.percentile(those, [50, 95]) * 1000
        print(f"decided after the end of the word ({label}): {middle:.0f} ms in the middle, {most:.0f} ms for 95 %")
    print(f"computing a decision: {1000 * max(max(r.computing) for r in reports):.1f} ms at most")
    print(f"listening: {100 * np.mean([report.share for report in reports]):.1f} % of a core")
    print("\nfalse activations an hour while others talk at the weaver's level")
    for speech in ("synthetic", "human"):
        rates = {}
        for ear in ("taught", "grammar"):
            found, seconds = np.sum([report.false[ear, speech] for report in reports], axis=0)
            print(f"{ear:8} {speech:10} {found:5.0f} in {seconds / 3600:6.2f} h: {3600 * found / seconds:8.2f} an hour")
            rates[ear] = 3600 * max(found, 1) / seconds
        print(f"ratio grammar/taught, {speech}: {rates['grammar'] / rates['taught']:.0f} (none is counted as one)")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, default=0.1, help="of talk for each weaver (%(default)s)")
    parser.add_argument("--repetitions", type=int, default=2, help="of each word (%(default)s)")
    parser.add_argument("--tuning", action="store_true", help="with the voices used in tuning instead")
    options = parser.parse_args()
    names = [name for name in (TUNING if options.tuning else HELD_OUT) if voice(name)]
    print(f"weavers: {', '.join(names)}")
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        reports = [*pool.map(partial(measure, repetitions=options.repetitions, hours=options.hours), names)]
    show(reports, options.repetitions)


if __name__ == "__main__":
    main()
