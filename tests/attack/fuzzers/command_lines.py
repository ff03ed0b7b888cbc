"""Command lines: every command and option of the table, with values that fit and values that do not.

A line is given as words with NUL bytes between, and after a line feed as a word what is typed once it runs. A line
that would open a device, or stay, is only read; a few of all kinds run in processes of their own.
"""

import os
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from frame.child import HEDDLECALL, ran

from assistant.cli import families
from assistant.cli.command import Argument, Command
from assistant.senses.ear import opening
from assistant.warp.examples import examples
from assistant.warp.passes import PASSES
from assistant.words.language import codes
from fuzzers.commanded import CODES, command
from fuzzers.engine import MOST_MB, Fuzzer, law
from fuzzers.mangled import mangled, number, text
from fuzzers.sequences import ready, sequence

AFTER = b"\0\n\0"  # between the words and what is typed
GOOD = (
    b"{title: Good, shafts: 4, sett: 10, reed: 10, sley: [2], "
    b"groups: [{name: edge, thread: 6(1 2)}, {name: rose, thread: 3(1..4)}]}"
)
FILES = (
    "good.yaml", "good.yaml", "good.yaml", *examples(), "odd.yaml", "missing.yaml", ".", "folder", "", "pipe",
    "a\x1b[2Jb.yaml",
    "not\udcff.yaml", "x" * 300, "draft.wif", "list.csv", "empty", "-", "a\nb.yaml", "loop", "locked/x.yaml",
)  # fmt: skip
OUTS = (
    "out.html", "out.pdf", "out.csv", "out.wav", "out.wif", "out.yaml", ".", "folder", "missing/out.html",
    "good.yaml", "", "pipe",
    "a\nb.html", "\x1b[2J.csv", "not\udcff.wav", "x" * 300 + ".html", "loop", "out.html/x.html", "-", "empty/x.csv",
)  # fmt: skip
LENGTHS = ("18.4cm", "7 1/4in", "2.5 m", "3yd", "10", "0", "-1", "1e9", "1/0", "١", "100km")
WORDS = (
    "next",
    "next,back",
    "rose",
    "edge",
    "3=1",
    "8,10,12",
    "aunt",
    "skip@3",
    "double@99999",
    "misheard@0",
    "en",
    "ko",
    "thread",
)
HEAVY = ("demo", "pedal")  # always at a device
MOST_MB_KOREAN = 700  # where the vosk model that pip installs may be heard with: 557 MB were measured
IN_A_PROCESS_S = 20.0  # what is not over then is left off: a demo, a sitting without an end
WRITES = ("-o", "--out", "--card", "--report", "--csv", "--sound")


def prepare() -> None:
    """The files that lines name, in this folder."""
    Path("good.yaml").write_bytes(GOOD)
    Path("a\x1b[2Jb.yaml").write_bytes(GOOD)
    Path("a\nb.yaml").write_bytes(GOOD)
    Path("not\udcff.yaml").write_bytes(GOOD)
    Path("empty").write_bytes(b"")
    Path("draft.wif").write_bytes(b"[WIF]\nVersion=1.1\n[WEAVING]\nShafts=4\n[THREADING]\n1=1\n2=2\n3=3,4\n")
    Path("list.csv").write_bytes(b"1,2,3,4\n5/6 7\n")
    Path("folder").mkdir()
    Path("loop").symlink_to("loop")
    os.mkfifo("pipe")


def _commands() -> list[tuple[list[str], Command[Any]]]:
    found = [([command.name], command) for command in families.commands()]
    return found + [([*names, under.name], under) for names, above in found for under in above.under]


COMMANDS = _commands()


def _given(chance: random.Random) -> bytes:
    words, command = chance.choice(COMMANDS)
    line = [*words, *_options(chance, command)]
    if command.name in PASSES:
        line += [each for each in ("--plain", "--mute", "--deaf") if chance.random() < 0.95]
    for _ in range(chance.choice((0, 0, 0, 0, 1, 2))):
        at = chance.randrange(len(line) + 1)
        line[at : at + chance.randrange(2)] = [_any(chance)]
    data = b"\0".join(os.fsencode(word.replace("\0", "")) for word in line)
    if chance.random() < 0.1:
        data = mangled(chance, data).replace(b"/", b".")
    typed = "\n".join(
        chance.choice(("", "n", "u", "o", "2", "f", "1", "b", "w", "?", text(chance)[:30])) for _ in range(12)
    )
    return data + AFTER + typed.encode("utf-8", "surrogateescape") + b"\n"


def _options(chance: random.Random, command: Command[Any]) -> list[str]:
    told: list[str] = []
    arguments = list(command.arguments().items())
    chance.shuffle(arguments)
    for name, argument in arguments:
        wanted = argument.settings.get("required") or not argument.names
        if chance.random() > (0.95 if wanted else 2 / len(arguments)):
            continue
        value = _value(chance, name, argument)
        if not argument.names:
            told += [] if value is None else [value]
        elif value is None:
            told.append(chance.choice(argument.names))
        elif argument.names[-1].startswith("--") and chance.random() < 0.2:
            told.append(f"{argument.names[-1]}={value}")
        else:
            told += [chance.choice(argument.names), value]
    return told


def _value(chance: random.Random, name: str, argument: Argument) -> str | None:
    settings = argument.settings
    if settings.get("action") == "store_true":
        return None
    if chance.random() < 0.06:
        return _any(chance)
    if set(argument.names) & set(WRITES):
        return chance.choice(OUTS)
    if choices := settings.get("choices"):
        return str(chance.choice(list(choices)))
    match name:
        case "file" | "draft" | "files" | "folder" | "model":
            return chance.choice(FILES)
        case "language":
            return chance.choice(codes())
        case "job":
            return chance.choice(list(PASSES))
    if settings.get("type") in (str, None):
        return chance.choice((*LENGTHS, *WORDS))
    return chance.choice((str(chance.randint(0, 60)), number(chance), "0.5"))


def _any(chance: random.Random) -> str:
    """What nobody types; nothing of it may be the place of a file elsewhere."""
    made = chance.choice(
        (text(chance), number(chance), "--", "", "-", "--json", "--help", "--x", "-o", "\udcff", "a" * 70_000, "--csv=")
    )
    return made.replace("/", "").replace("\0", "")


def words_of(data: bytes) -> tuple[list[str], bytes]:
    """The words of a line, and what is typed once it runs."""
    line, _, typed = data.partition(AFTER)
    return [os.fsdecode(word) for word in line.split(b"\0")], typed


def stays(name: str, options: object) -> bool:
    """Whether it opens a device, or goes on by itself, or fetches something."""
    given = vars(options)
    if name in PASSES:
        return not (given["plain"] and given["mute"] and given["deaf"]) or given["page"] or given["share"]
    opens = {
        "rehearse": given.get("audio") or given.get("sound"),
        "hear": not given.get("files"),
        "teach": not any(given.get(way) for way in ("folder", "list", "forget", "forget_corrections")),
        "speak": True,
        "write": not given.get("threading") and not (given.get("mute") and given.get("deaf") and given.get("plain")),
        "add": given.get("file") is None,
    }
    return name in HEAVY or bool(opens.get(name, False))


def _tried(data: bytes) -> None:
    prepare()
    Path("odd.yaml").write_bytes(mangled(random.Random(data), GOOD, ready()))
    words, typed = words_of(data)
    opening.find_model = lambda code: None  # others' models take what they take, and are not on every machine
    command(words, typed, runs=lambda name, options: not stays(name, options))


def _in_a_process(data: bytes) -> None:
    prepare()
    Path("odd.yaml").write_bytes(sequence(random.Random(data)))
    words, typed = words_of(data)
    if _fetches(words):
        return
    here = {
        name: value for name, value in os.environ.items() if name.endswith("_HOME") or name.startswith("HEDDLECALL")
    }
    came = ran([*HEDDLECALL, *map(os.fsencode, words)], given=typed, seconds=IN_A_PROCESS_S, environment=here)
    law(not came.traceback, came.err[-600:])
    law(came.late or came.code in CODES, "exit code", came.code)
    korean = any(word.endswith("ko") for word in words)
    law(came.megabytes <= (MOST_MB_KOREAN if korean else MOST_MB), f"{came.megabytes:.0f} MB")
    if came.code == 2:
        law(came.err.count(b"\n") == 1, "not one line:", came.err)


def _fetches(words: Sequence[str]) -> bool:
    return "add" in words and "--from" not in words


FUZZERS = (
    Fuzzer("command lines", 20_000, _given, _tried),
    Fuzzer("commands, each alone", 60, _given, _in_a_process),
)
