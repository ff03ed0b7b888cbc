"""Every command as a weaver types it in an evening, but the one that goes to the internet.

As a program it does them one after the other; to standard error goes a line of JSON for each, words and exit code.
"""

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile

import soundfile
from said import voice

from assistant import cli
from assistant.senses.sound import EAR_RATE

WARP = "first-evening"
INTERNET = "models add"
FRONT_DOOR = "--plain"  # of which the command has no name


@dataclass(frozen=True)
class Try:
    """A command, what is typed at it, the exit code it comes to, and the files that it was asked for."""

    words: str
    typed: str = ""
    code: int = 0  # 2 where it needs what is not plugged in
    asked_for: tuple[str, ...] = ()


def _sat(job: str, how: str = "--mute --deaf") -> Try:
    return Try(f"{job} {WARP} --plain {how}".rstrip(), typed="next\nq\n")


EVENING = (
    Try("demo", asked_for=("demo.wav",)),
    Try(f"rehearse {WARP} --mistake skip@3"),
    Try(f"plan {WARP} --card cards.pdf", asked_for=("cards.pdf",)),
    Try(f"export {WARP} -o draft.wif", asked_for=("draft.wif",)),
    Try("import draft.wif -o again.yaml --start left", asked_for=("again.yaml",)),
    Try("write typed.yaml 8(1..4) --start right", asked_for=("typed.yaml",)),
    Try("write down.yaml --plain --mute --deaf", typed="4\n1\n1234\n+6\n/7\n", asked_for=("down.yaml",)),
    Try(FRONT_DOOR, typed="9\n1\n0\n"),
    *map(_sat, ("wind", "heddles", "check", "sley", "tie")),
    _sat("thread", how=""),
    Try("note knots"),
    Try(f"find {WARP} --group middle --over 1", typed="1\n"),
    Try(f"next {WARP}"),
    Try(f"calls {WARP}"),
    Try(f"end {WARP} --end 3"),
    Try(f"log {WARP} --report record.html --csv record.csv", asked_for=("record.html", "record.csv")),
    Try("log --pace"),
    Try("hear said/next-1.wav"),
    Try("teach --weaver aino --from said"),
    Try(f"pack {WARP} --taught --for aino", asked_for=(f"{WARP}.zip",)),
    Try(f"unpack {WARP}.zip"),
    Try("records"),
    Try("records open 1"),
    Try("records delete 2 --yes"),
    Try("hear said/next-2.wav --weaver aino"),
    Try("models"),
    Try("settings"),
    Try("completion bash"),
    Try("doctor --report doctor.txt", asked_for=("doctor.txt",)),
    Try("pedal --source evdev", code=2),
    Try("voices"),
    Try("speak hello --out hello.wav", asked_for=("hello.wav",)),
)


def record(folder: Path) -> Iterator[Path]:
    """Recordings to teach by, and to be heard."""
    folder.mkdir()
    for take in range(3):
        file = folder / f"next-{take + 1}.wav"
        soundfile.write(file, voice().say("next", take), EAR_RATE)
        yield file


def main() -> None:
    for each in EVENING:
        with TemporaryFile("w+") as sys.stdin:
            sys.stdin.write(each.typed)
            sys.stdin.seek(0)
            code = cli.main(each.words.split())
        print(json.dumps([each.words, code]), file=sys.stderr)


if __name__ == "__main__":
    main()
