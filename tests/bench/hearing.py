"""How well words are heard: people first, then rooms, synthetic voices, languages, sounds that are none, and talk.

Every ear hears the same sound in the same run: the one of this checkout, the one of an earlier commit with its own
code, vosk's where a model is there, and a plain grammar recogniser. A lesson is three examples of each word, unless a
row says otherwise, taught and kept as the program does it.

- people: speakers of digits at their own microphones (--people FOLDER), as commands and numbers, taught and untaught
- rooms: one word recorded at home microphones, and other people's words there (--rooms FOLDER)
- voices: synthetic voices not used in training or tuning: noise, and rooms of 0.3 and 0.5 s of reverberation up to
  1.6 m away, where the ear was taught close and dry
- languages: untaught numbers and commands in six more, by telephone prompts where a language has them
- no words: breath, smack, click, rustle, creak and cough, alone and 0.15 to 0.5 s beside a word
- talk: by the hour, prose, remarks, people and single words of others (telephone prompts)
- cost: opening, listening, memory, the wheel

A word's SNR: the mean power of its frames within 30 dB of the loudest to that of the noise. Scores are words right and,
in brackets, for which another word was heard, in %.

    python tests/bench/hearing.py --parts people rooms --draws 1
    python tests/bench/hearing.py --markdown --hours 20 --kept ../measured
"""

import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path

from parts import conditions, cost, ears, languages, no_words, others, people, rooms, talk, voices
from parts.kept import kept
from parts.options import asking, between, count
from parts.pupils import Teach
from parts.scoring import Results
from parts.spoken import HELD_OUT, TUNING, voice
from parts.strictness import at_thresholds
from parts.tables import show

SHARED = ears.CHECKOUT.parent / "shared"
TOLD = {
    "people": "Each digit by real people, at home; as many examples as told, twelve more of each word tried, by draws.",
    "rooms": "One word at home microphones, alone or beside ten more; strangers are all other recordings there.",
    "voices": "Synthetic voices that no ear was tuned by.",
    "languages": "Untaught, three takes of each.",
    "no words": "Sounds that are no word, 4 to 16 dB below the weaver.",
    "talk": "Others talk at the weaver's own level.",
    "cost": "On the machine that ran it.",
}


@dataclass(frozen=True)
class Setting:
    """What is measured, and how much of it."""

    checkouts: dict[str, Path]  # by ear
    beside: str  # the commit of the ear before
    people: Path
    rooms: Path
    voices: tuple[str, ...]
    draws: int
    repetitions: int
    hours: float
    snrs: tuple[int, ...]
    seed: int
    curve: bool


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--parts", nargs="+", choices=TOLD, default=[*TOLD], help="only these")
    parser.add_argument("--ears", nargs="+", choices=ears.NAMES, default=ears.NAMES, help="only these")
    parser.add_argument("--beside", metavar="COMMIT", default=ears.BEFORE, help="of the ear before (%(default)s)")
    parser.add_argument("--people", type=Path, default=SHARED / "people", metavar="FOLDER", help="(%(default)s)")
    parser.add_argument("--rooms", type=Path, default=SHARED / "rooms", metavar="FOLDER", help="(%(default)s)")
    parser.add_argument("--voices", nargs="+", choices=(*HELD_OUT, *TUNING), default=HELD_OUT, help="only these")
    parser.add_argument("--only", nargs="+", default=[""], metavar="TEXT", help="who or what is named so: george, fr")
    parser.add_argument("--draws", type=count, default=3, help="of what people teach and say (%(default)s)")
    parser.add_argument("--repetitions", type=count, default=1, help="of each word by a voice (%(default)s)")
    parser.add_argument("--hours", type=between(0, 1000), default=0.2, help="of each kind of talk (%(default)s)")
    parser.add_argument("--snr", nargs="*", type=int, default=(10,), help="noise, in dB: %(default)s")
    parser.add_argument("--seed", type=int, default=0, help="another one makes other sound (%(default)s)")
    parser.add_argument("--curve", action="store_true", help="at each threshold, of ears that have one")
    parser.add_argument("--markdown", action="store_true", help="print the tables of docs/hearing.md")
    parser.add_argument("--kept", type=Path, metavar="FOLDER", help="of results; measure only what is not there yet")
    parser.add_argument("--at-once", type=count, default=2, help="processes (%(default)s)")
    options = parser.parse_args()
    with ExitStack() as stack:
        checkouts = dict.fromkeys(options.ears, ears.CHECKOUT)
        if "before" in checkouts:
            try:
                checkouts["before"] = stack.enter_context(ears.checked_out(options.beside))
            except subprocess.CalledProcessError:
                parser.error(
                    f"--beside {options.beside}: there is no such commit here; name one, or leave out the ear before"
                )
        known = tuple(name for name in options.voices if voice(name))
        setting = Setting(
            checkouts,
            options.beside,
            options.people,
            options.rooms,
            known,
            options.draws,
            options.repetitions,
            options.hours,
            tuple(options.snr),
            options.seed,
            options.curve,
        )
        for line in missing(options.parts, options.voices, setting):
            print(line, file=sys.stderr, flush=True)
        jobs = [
            (part, subject)
            for part in options.parts
            for subject in subjects(part, setting)
            if any(text in subject for text in options.only)
        ]
        pool = stack.enter_context(
            ProcessPoolExecutor(options.at_once, mp_context=get_context("spawn"), max_tasks_per_child=1)
        )
        done: dict[str, dict[str, Results]] = {part: {} for part in options.parts}
        waited = [pool.submit(measure, part, subject, setting, options.kept) for part, subject in jobs]
        for (part, subject), each in zip(jobs, waited, strict=True):
            done[part][subject] = each.result()
            print(f"{part}, {subject}: heard", file=sys.stderr, flush=True)  # a run may take hours
    for part in (part for part in options.parts if any(done[part].values())):
        show(part, TOLD[part], done[part], options.markdown)


def missing(parts: list[str], names: list[str], setting: Setting) -> Iterator[str]:
    """A line for all that is asked for and is not there."""
    yield from ears.missing(setting.checkouts)
    for part, folder in (("people", setting.people), ("rooms", setting.rooms)):
        if part in parts and not folder.is_dir():
            yield f"{part}: left out; there is no {folder}; give a folder with --{part}"
    if "rooms" in parts and setting.rooms.is_dir() and (skipped := rooms.read(setting.rooms).skipped):
        yield f"rooms: {skipped} recordings skipped, which are not mono or not whole"
    if {"voices", "no words", "talk"} & {*parts}:
        yield from (f"{name}: left out; apt install flite festival and its voices" for name in names if not voice(name))
    if "voices" in parts and conditions.missing():
        yield conditions.missing()
    yield from languages.missing() if "languages" in parts else ()
    yield from others.missing() if "talk" in parts else ()


def subjects(part: str, setting: Setting) -> list[str]:
    """Who or what is heard in a part; each is a piece of work of its own."""
    if part == "people":
        return sorted(people.read(setting.people)) if setting.people.is_dir() else []
    if part == "rooms":
        return ["all"] if setting.rooms.is_dir() else []
    if part == "languages":
        return languages.subjects()
    if part == "cost":
        return [*cost.SUBJECTS, "wheel"] if setting.voices else []
    if part == "talk":
        return [f"{name} {kind}" for name in setting.voices for kind in others.KINDS]
    return list(setting.voices)


def measure(part: str, subject: str, setting: Setting, folder: Path | None) -> Results:
    """What came of it, or came of it before."""
    told = replace(setting, checkouts=dict.fromkeys(setting.checkouts, Path(setting.beside)))
    return kept(folder, f"{part} {subject} {told}", lambda: _measured(part, subject, setting))


def _measured(part: str, subject: str, setting: Setting) -> Results:
    """With ears of its own."""
    with ears.opened(setting.checkouts, setting.curve) as opened:
        if part == "cost":
            return (
                cost.wheels(setting.checkouts)
                if subject == "wheel"
                else cost.measure(subject, setting.voices[0], opened)
            )
        heard_by: dict[str, Teach] = at_thresholds(opened) if setting.curve else {**opened}
        return _heard(part, subject, heard_by, setting)


def _heard(part: str, subject: str, by: dict[str, Teach], setting: Setting) -> Results:
    draws, seed = setting.draws, setting.seed
    match part:
        case "people":
            return people.measure(people.read(setting.people)[subject], by, draws, seed)
        case "rooms":
            speakers = people.read(setting.people) if setting.people.is_dir() else {}
            return rooms.measure(rooms.read(setting.rooms), next(iter(speakers.values()), None), by, draws, seed)
        case "voices":
            return voices.measure(subject, by, setting.repetitions, seed, setting.snrs)
        case "languages":
            return languages.measure(subject, by, seed)
        case "no words":
            return no_words.measure(subject, by, setting.repetitions, seed)
    name, kind = subject.split()
    return talk.measure(name, kind, by, setting.hours, seed)


if __name__ == "__main__":
    main()
