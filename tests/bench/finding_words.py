"""How well words are found, before any ear says which they are: people's, in real rooms, in simulated ones, in noise.

A word is found where a candidate begins within 0.15 s and ends within 0.10 s of it, in a noise of what is heard of it.
The rival is the finder of another checkout, up to 2098012: git worktree add ../before 2098012

    python tests/bench/finding_words.py --people ../shared/people --rooms ../shared/rooms --rival ../before

"sure" is how many candidates were surely words, by scene, and "one" in how many scenes there was just one: such an
example a lesson takes. "late" is from a candidate's end to its telling. Simulated rooms need pyroomacoustics.
"""

import os
import pickle
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from parts import scenes
from parts.options import asking, count
from parts.scenes import Scene
from parts.spoken import RATE

Found = tuple[float, float, float, bool]  # start, end, decided, in seconds; whether it was surely a word
NEAR_START_S, NEAR_END_S = 0.15, 0.10
BLOCK = 480  # samples, as a microphone gives them
OF_THE_RIVAL = """
import pickle, sys, time
from assistant.senses.ear.spotter import Spotter
scenes = pickle.load(sys.stdin.buffer)
began = time.process_time()
found = []
for sound in scenes:
    finder = Spotter(guessing=True)
    each = [one for at in range(0, len(sound), 480) for one in finder.feed(sound[at : at + 480])]
    found.append([(one.start_s, one.end_s, one.decided_s, not one.guess) for one in each])
pickle.dump((found, time.process_time() - began), sys.stdout.buffer)
"""


def ours(sounds: Sequence[Scene]) -> tuple[list[list[Found]], float]:
    """What is found in each, and the seconds of computing."""
    from assistant.senses.ear.word_finder import WordFinder

    began = time.process_time()
    found = []
    for scene in sounds:
        finder = WordFinder(guessing=True)
        blocks = (scene.sound[at : at + BLOCK] for at in range(0, len(scene.sound), BLOCK))
        each = [one for block in blocks for one in finder.feed(block)]
        found.append([(one.start_s, one.end_s, one.decided_s, not one.guess) for one in each])
    return found, time.process_time() - began


def rival(checkout: Path, sounds: Sequence[Scene]) -> tuple[list[list[Found]], float]:
    """The same by the finder of another checkout."""
    told = subprocess.run(
        [sys.executable, "-c", OF_THE_RIVAL],
        input=pickle.dumps([scene.sound for scene in sounds]),
        env={**os.environ, "PYTHONPATH": str(checkout.resolve())},
        cwd=checkout,
        stdout=subprocess.PIPE,
        check=True,
    )
    found, seconds = pickle.loads(told.stdout)
    return found, seconds


def is_found(scene: Scene, found: Sequence[Found]) -> bool:
    from_s = np.fmax(scene.start_s, scene.heard_from_s)
    to_s = np.fmin(scene.end_s, scene.heard_to_s)
    return any(
        scene.start_s - NEAR_START_S <= start <= from_s + NEAR_START_S
        and to_s - NEAR_END_S <= end <= scene.end_s + NEAR_END_S
        for start, end, _, _ in found
    )


def line(name: str, sounds: Sequence[Scene], found: list[list[Found]], computed_s: float) -> str:
    """Of a kind of scene."""
    seconds = sum(len(scene.sound) for scene in sounds) / RATE
    told = sum(map(len, found))
    sure = [sum(one[3] for one in each) for each in found]
    has_word = not np.isnan(sounds[0].start_s)
    share = 100 * np.mean([is_found(*each) for each in zip(sounds, found, strict=True)]) if has_word else np.nan
    late = np.percentile([one[2] - one[1] for each in found for one in each] or [np.nan], 95)
    right = f"{share:6.1f} %" if has_word else f"{'–':>8}"
    return (
        f"{name:32}{len(sounds):5}{right} {told / len(sounds):6.2f} a scene {3600 * told / seconds:6.0f}/h"
        f"  sure {np.mean(sure):5.2f}, one {100 * np.mean([each == 1 for each in sure]):5.1f} %"
        f"  late {late:5.2f} s  core {100 * computed_s / seconds:4.1f} %"
    )


def kinds(people: Path | None, rooms: Path | None, every: int) -> Iterator[tuple[str, list[Scene]]]:
    """The scenes of each kind."""
    said = [*scenes.words()]
    speakers = scenes.people(people, every) if people else {}
    for name, sounds in speakers.items():
        yield f"people, {name}", [scenes.in_quiet(sound, seed) for seed, sound in enumerate(sounds)]
    some = [*enumerate([sound for sounds in speakers.values() for sound in sounds])]
    some = some[:: max(1, len(some) // 100)]
    for folder in sorted(rooms.iterdir()) if rooms else []:
        if folder.is_dir():
            found, passed = scenes.real(folder)
            yield f"real rooms, {folder.name} (-{passed})", found
    groups = {"voices": said, **({"people": some} if some else {})}
    for label, group in groups.items():
        for rt60_s in scenes.RT60_S:
            for distance_m in scenes.DISTANCES_M:
                name = f"room {rt60_s} s, {distance_m} m, {label}"
                yield name, [scenes.in_room(sound, rt60_s, distance_m, seed) for seed, sound in group]
        for kind in scenes.NOISES:
            yield f"{kind} 10 dB, {label}", [scenes.in_noise(sound, kind, seed) for seed, sound in group]
        for kind in scenes.OTHER_SOUNDS:
            yield f"after a {kind}, {label}", [scenes.after(sound, kind, seed) for seed, sound in group]
    for kind in scenes.OTHER_SOUNDS:
        yield f"a {kind} alone", [scenes.alone(kind, seed) for seed in range(40)]
    yield "talk without end", [scenes.talk(60, seed) for seed in range(4)]
    yield "talk without pauses", [scenes.talk(60, seed, pauses=False) for seed in range(4)]


def main() -> None:
    asked = asking(__doc__)
    asked.add_argument("--people", type=Path, help="a folder of {digit}_{speaker}_{repetition}.wav, trimmed close")
    asked.add_argument("--rooms", type=Path, help="a folder of folders of single words in real rooms")
    asked.add_argument("--every", type=count, default=1, help="of people's recordings, one in so many (%(default)s)")
    asked.add_argument("--rival", type=Path, help="a checkout whose ear has a Spotter")
    asked.add_argument("--only", nargs="+", help="kinds that begin so")
    options = asked.parse_args()
    for name in ("people", "rooms"):
        if not getattr(options, name):
            print(f"{name}: left out; --{name} FOLDER")
    for name, sounds in kinds(options.people, options.rooms, options.every):
        if options.only and not name.startswith(tuple(options.only)):
            continue
        print(line(name, sounds, *ours(sounds)), flush=True)
        if options.rival:
            print(line("  rival", sounds, *rival(options.rival, sounds)), flush=True)


if __name__ == "__main__":
    main()
