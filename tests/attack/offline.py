"""Every command under strace, also at a real microphone and loudspeaker: whom it calls, and what it leaves where.

    python tests/attack/offline.py --tries 5

A try is a command, of those that tests/every_command.py types, and then some that want sound or a terminal: a sitting
that speaks and listens, with lines and with the board, a lesson, hearing, both voices of the simulated weaver, a page
with a guest. Needs strace; those with sound need PulseAudio.

What has to hold: no call to another machine, no look-up of a name, no socket of a service but the sound server's; no
file written, by Python or by a library, but in the folders of heddlecall, in the temporary folder, or where it was
asked for; the temporary folder is empty afterwards.
"""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import frame
from alone import Hermitage
from cable import MISSING as NO_SOUND
from cable import sound_server
from every_command import EVENING, WARP, record
from frame.traced import MISSING, addressed, read, tracing, written
from frame.trying import CannotBeTried, Tally, Wish, run

PROGRAM = ("-m", "assistant")
SYSTEM = {
    "/dev/null": "nothing",
    "/dev/tty": "the terminal",
    "/dev/ptmx": "a terminal of its own, of script(1)",
    "/dev/pts": "the same",
    "/dev/shm": "sound handed to the sound server",
    "/dev/snd": "the sound card",
    "/dev/input": "the pedal",
    "/var/cache/fontconfig": "where what fonts there are is kept for all programs, by whoever may write there",
}
SERVICES = {
    "/var/run/nscd/socket": "asked by the C library for users, too; a name goes on to the network, and is seen there",
    "/dev/shm/jack_default": "another sound server, which PortAudio asks for",
}


@dataclass(frozen=True)
class Command:
    """What is tried, and the exit codes that it may come to."""

    words: tuple[str, ...]
    typed: str
    codes: frozenset[int]
    within: tuple[str, ...] = ()  # a program that runs it


def commands() -> Iterator[Command]:
    """What takes long comes last."""
    evening = [Command((*PROGRAM, *each.words.split()), each.typed, frozenset({each.code})) for each in EVENING]
    yield from evening[1:]
    yield evening[0]
    yield Command((str(frame.TESTS / "page_guest.py"), WARP), "", frozenset({0}))
    for voice in ("joe", "hibari"):
        yield _program(f"rehearse {WARP} --audio --voice {voice} --sound {voice}.wav")
    yield _program(f"thread {WARP} --plain --headset", "next\nrepeat\nq\n")
    yield _program("speak hello")
    yield _program("teach --weaver berta --plain --words next", "q\n", 0, 1, 2)
    yield _program("hear --json", "", 130, within=("timeout", "--preserve-status", "-s", "INT", "8"))
    yield _program("hear said/next-1.wav --language ko --ear vosk", "", 0, 2)
    board = f"{sys.executable} -m assistant check {WARP}"
    yield Command(("-c", f"import pty; pty.spawn({board.split()!r})"), "n\nq", frozenset({0}))


def _program(words: str, typed: str = "", *codes: int, within: tuple[str, ...] = ()) -> Command:
    return Command((*PROGRAM, *words.split()), typed, frozenset(codes or {0}), within)


def tried(hermitage: Hermitage, command: Command, trace: Path, sound: dict[str, str]) -> Iterator[str]:
    """What does not hold."""
    name = " ".join(command.words).removeprefix("-m assistant ")
    under = (*tracing(trace), *command.within)
    done = hermitage.run(*command.words, typed=command.typed, under=under, TERM="xterm-256color", **sound)
    if done.code not in command.codes or "Traceback" in done.error:
        yield f"{name}: exit code {done.code}: {done.error[-300:]}"
    calls = list(read(trace))
    services = (*SERVICES, *(path.removeprefix("unix:") for path in sound.values()))
    yield from (f"{name}: {call}" for call in addressed(calls) if not call.startswith(services))
    ours = [hermitage.desk, hermitage.temporary]
    ours += [hermitage.home / each for each in (".cache/heddlecall", ".local/share/heddlecall", ".config/heddlecall")]
    ways = [folder.parent for folder in ours[-3:]]  # made on the way to a folder of ours
    ways += [hermitage.home / ".local", hermitage.home / ".config/pulse", hermitage.home / ".config/pulse/cookie"]
    ours.append(hermitage.home / ".cache/fontconfig")  # as in /var, for whoever may not write there
    system = [Path(each) for each in SYSTEM]
    for path in written(calls):
        noted = path.parent == trace.parent  # by watch/sitecustomize.py
        if not (noted or path in ways or any(path.is_relative_to(each) for each in (*ours, *system))):
            yield f"{name}: wrote {path}"
    yield from (f"{name}: left {file}" for file in sorted(hermitage.left()) if file.startswith("temporary"))


def unseen(hermitage: Hermitage, trace: Path) -> Iterator[str]:
    """What would not be noticed here: a name looked up and a file written, both by a library in C."""
    stray = hermitage.home / "stray"
    names, creates = "gethostbyname(b'loom.example')", f"creat({os.fsencode(stray)!r}, 0o600)"
    does = f"import ctypes; c = ctypes.CDLL(None); c.{names}; c.{creates}"
    told = list(tried(hermitage, Command(("-c", does), "", frozenset({0})), trace, {}))
    stray.unlink(missing_ok=True)
    for what, sign in {"a name that is looked up": "AF_INET", "a file that is written": f"wrote {stray}"}.items():
        if not any(sign in each for each in told):
            yield f"{what} is not seen here"


def attack(wish: Wish, tally: Tally) -> None:
    if MISSING:
        raise CannotBeTried("strace is not installed; apt install strace")
    with ExitStack() as stack:
        folder = Path(stack.enter_context(TemporaryDirectory()))
        sound = {}
        if NO_SOUND:
            tally.told.append(f"without sound: {', '.join(NO_SOUND)} missing")
        else:
            (folder / "sound").mkdir()
            server = stack.enter_context(sound_server(folder / "sound"))
            sound = {"PULSE_SERVER": server["PULSE_SERVER"]}
        hermitage = Hermitage(folder)
        list(record(hermitage.desk / "said"))
        tally.found += unseen(hermitage, folder / "trace")
        for number, (_, command) in enumerate(zip(wish.chances(tally), commands(), strict=False)):
            began = time.monotonic()
            tally.found += sorted(set(tried(hermitage, command, folder / f"trace-{number}", sound)))
            tally.took(time.monotonic() - began)


if __name__ == "__main__":
    run(__doc__, attack, tries=sum(1 for _ in commands()), seconds=420)
