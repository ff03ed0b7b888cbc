"""The command line: every command with its options."""

import argparse
import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any, NoReturn

from assistant import commands
from assistant.ending import ends_with
from assistant.errors import HeddlecallError
from assistant.paper import CARDS
from assistant.senses.mouth import FASTEST, LOUDEST, SLOWEST, SOFTEST, SPEED, VOLUME
from assistant.warp.passes import CHECK, PASSES, READ, Pass
from assistant.words.language import UntaughtEar, codes

Command = Callable[[argparse.Namespace], int | None]

CAUTIONS = (
    "Stand up and look into the distance every half hour. Keep cables and the pedal out of your way and weights clear "
    "of your feet; start with the volume low in headphones. Your loom maker's manual and your doctor know better."
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code. Bad input is one line on standard error and exit code 2."""
    return ends_with(_run(_parser().parse_args(argv)))


def _run(options: argparse.Namespace) -> int:
    try:
        return int(options.command(options) or 0)
    except HeddlecallError as error:
        print(f"heddlecall: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # whoever read the output has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


class _Parser(argparse.ArgumentParser):
    """Complains in one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}; see {self.prog} --help\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="heddlecall",
        description="Reads a threading aloud, and keeps its counts.",
        epilog=CAUTIONS,
    )
    parser.add_argument("--version", action="version", version=version("heddlecall"))
    subparsers = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(run: Command, about: str, name: str = "") -> argparse.ArgumentParser:
        added = subparsers.add_parser(name or run.__name__.removesuffix("_"), help=about, description=about)
        added.set_defaults(command=run)
        return added

    _demo(command(commands.demo, "rehearse a short warp aloud, with a slip and its repair; leaves demo.wav"))
    _import(command(commands.import_, "write a sequence file for a draft: WIF, or a plain list of numbers"))
    _export(command(commands.export, "write the threading of a sequence file as WIF"))
    _plan(command(commands.plan, "heddles, reed, width and yarn, before a thread is cut; cards to print"))
    for job in PASSES.values():
        if job is not READ:
            _job(command(commands.job, job.about, job.name), job)
    _next(command(commands.next_, "what comes next for a warp, and what is not yet closed"))
    _find(command(commands.find_, "find the mistake in a group that did not come out, in a few questions"))
    _calls(command(commands.calls, "print the call sheet: what will be spoken, with running counts"))
    _end(command(commands.end, "where an end is: its group, shaft and dent, from a distance, a number or a dent"))
    _log(command(commands.log, "show past sittings, and how each group stands; write the record of a warp"))
    _note(command(commands.note, "keep a note to the warp worked on last, at the place it has come to"))
    _rehearse(command(commands.rehearse, "let a simulated weaver do a job"))
    _speak(command(commands.speak, "list the voices, or try one"))
    _hear(command(commands.hear, "check microphone and room, or print what is heard in sound files"))
    _models(command(commands.models, "list the models to hear with, or add one"))
    _teach(command(commands.teach, "teach the ear the words of a weaver, at the microphone or from recordings"))
    _pedal(command(commands.pedal, "teach the foot switch: press each switch once"))
    return parser


def _demo(parser: argparse.ArgumentParser) -> None:
    _language(parser)
    _weaver(parser)


def _import(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("draft", metavar="DRAFT", type=Path, help="a WIF file, or a list of numbers as text or CSV")
    parser.add_argument("-o", "--out", metavar="FILE.yaml", type=Path, required=True, help="the sequence file to write")
    parser.add_argument("--start", choices=("right", "left"), required=True, help="the edge where its end 1 lies")
    parser.add_argument("--replace", action="store_true", help="write over a file that is there")


def _export(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    parser.add_argument("-o", "--out", metavar="FILE.wif", type=Path, required=True, help="the draft to write")
    parser.add_argument("--replace", action="store_true", help="write over a file that is there")


def _plan(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    _json(parser)
    parser.add_argument("--card", type=Path, metavar="OUT.html", help="cards for the loom bench, as HTML or PDF")
    parser.add_argument("--job", choices=CARDS, action="append", default=[], help="only this card; may be repeated")
    _size(parser)
    parser.add_argument("--reeds", metavar="8,10,12", help="the reeds you have: rank them for the sett")
    parser.add_argument("--reed-width", metavar="LENGTH", help="to centre the warp in; a bare length is in the unit")
    parser.add_argument("--section", metavar="LENGTH", help="the width of a tie-on section")
    parser.add_argument("--cloth", metavar="LENGTH", help="how long the finished cloth is to be")
    parser.add_argument("--take-up", metavar="PERCENT", help="lost to the weave (10)")
    parser.add_argument("--shrinkage", metavar="PERCENT", help="lost in the wash (10)")
    parser.add_argument("--waste", metavar="LENGTH", help="lost on the loom (27 in or 70 cm)")
    parser.add_argument("--waste-tied", metavar="LENGTH", help="lost on the loom when a warp is tied on (half of it)")


def _end(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    ways = parser.add_mutually_exclusive_group(required=True)
    ways.add_argument("--from-right", metavar="LENGTH", help="its distance from the right edge, such as 18.4cm")
    ways.add_argument("--from-left", metavar="LENGTH", help="its distance from the left edge")
    ways.add_argument("--end", type=int, metavar="N", help="its number, from 1")
    ways.add_argument("--dent", type=int, metavar="N", help="its dent, from the first one in use")
    parser.add_argument("--cloth-width", metavar="LENGTH", help="how wide the cloth is where you measured")
    _json(parser)


def _job(parser: argparse.ArgumentParser, job: Pass[Any]) -> None:
    parser.set_defaults(job=job.name, pace=None)
    _sequence(parser)
    _language(parser)
    size = job.size
    parser.add_argument(
        size.option,
        dest="size",
        type=int,
        metavar="N",
        help=f"{size.about}, 1 to {size.most} ({size.usual}, or as before)",
    )
    if job is CHECK:
        parser.add_argument("--read", dest="job", action="store_const", const=READ.name, help=f"or {READ.about}")
        parser.add_argument(
            "--pace", type=_seconds, metavar="S", help="seconds an end, from call to call (1.5, or as before)"
        )
    parser.add_argument("--fresh", action="store_true", help="begin anew; the old record is kept")
    parser.add_argument("--edited", action="store_true", help="go on although the file was edited further on")
    parser.add_argument("--plain", action="store_true", help="print plain lines instead of the board")
    parser.add_argument("--page", action="store_true", help="show a page in a browser too, on this machine only")
    parser.add_argument("--share", action="store_true", help="and in the local network, for a phone or tablet")
    _mouth(parser)
    parser.add_argument(
        "--volume-cap", type=_decibels, default=LOUDEST, metavar="N", help="never louder, also by louder (%(default)s)"
    )
    parser.add_argument("--night", action="store_true", help="begin softly, at -24 dB, and never above -18 dB")
    parser.add_argument("--mute", action="store_true", help="do not speak")
    _ear(parser)
    open_ear = parser.add_mutually_exclusive_group()
    open_ear.add_argument("--headset", action="store_true", help="listen while speaking too: you wear headphones")
    open_ear.add_argument(
        "--echo-canceller", action="store_true", help="or through the system's echo canceller (PulseAudio, PipeWire)"
    )
    parser.add_argument("--deaf", action="store_true", help="do not listen")
    parser.add_argument(
        "--stand-up",
        type=_minutes,
        default=30,
        metavar="MINUTES",
        help="of sitting after which you are asked to stand up; 0: never (%(default)s)",
    )


def _find(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    _language(parser)
    parser.add_argument("--group", metavar="NAME", required=True, help="the group, by its name")
    ways = parser.add_mutually_exclusive_group()
    ways.add_argument("--over", type=int, metavar="N", help="ends left over")
    ways.add_argument("--short", type=int, metavar="N", help="ends short")
    parser.add_argument(
        "--left", metavar="SHAFT=N", action="append", default=[], help="heddles left, where they were counted out"
    )
    _size(parser)


def _next(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    _json(parser)


def _calls(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    _language(parser)
    _any_job(parser)
    _json(parser)


def _log(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", nargs="?", help="a sequence file; without it the warp begun last")
    parser.add_argument("--job", choices=list(PASSES), help="the log of this job; without it the one begun last")
    _json(parser)
    parser.add_argument("--pace", action="store_true", help="your own pace in each job, and what it rests on")
    parser.add_argument("--report", type=Path, metavar="OUT.html", help="all jobs of this warp, to read and to print")
    parser.add_argument("--csv", type=Path, metavar="OUT.csv", help="the same as a table, a row a group and job")


def _note(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("text", metavar="TEXT", help="what to remember")
    parser.add_argument("--file", metavar="FILE", help="to this warp; without it the one worked on last")
    parser.add_argument("--job", choices=list(PASSES), help="to this job of it; without it the one worked on last")


def _rehearse(parser: argparse.ArgumentParser) -> None:
    _sequence(parser)
    _language(parser)
    _any_job(parser)
    parser.add_argument("--audio", action="store_true", help="speak and listen for real, through a cable in memory")
    parser.add_argument(
        "--mistake",
        metavar="KIND@END",
        action="append",
        default=[],
        help="a slip at an end: skip, double, early-done, double-press or misheard; may be given several times",
    )
    parser.add_argument("--mistakes-per-1000", type=float, metavar="R", help="of all kinds, to 1,000 ends; no sound")
    parser.add_argument("--runs", type=int, metavar="N", help="thread and read back so many whole warps (1)")
    parser.add_argument("--wrong-answers", type=float, metavar="PERCENT", help="given when a mistake is looked for (5)")
    parser.add_argument("--misheard", type=float, metavar="PERCENT", help="of the numbers read back (3)")
    parser.add_argument("--seed", type=int, default=0, help="another pace, another noise (%(default)s)")
    parser.add_argument("--sound", type=Path, metavar="OUT.wav", help="leave what was to be heard here; means --audio")
    _weaver(parser)
    _json(parser)


def _speak(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("text", nargs="?", help="what to say")
    parser.add_argument("--out", type=Path, metavar="OUT.wav", help="write it to a file")
    _mouth(parser)


def _hear(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="*", type=Path, help="sound files; without any the microphone")
    _language(parser)
    parser.add_argument("--numbers", action="store_true", help="listen for numbers instead of commands")
    parser.add_argument("--json", action="store_true", help="one JSON line a file, or a word heard")
    _ear(parser)


def _models(parser: argparse.ArgumentParser) -> None:
    _json(parser)
    about = "bring the model for a language, from the internet or from a file"
    adding = parser.add_subparsers(metavar="add").add_parser("add", help=about, description=about)
    adding.set_defaults(command=commands.add_model)
    adding.add_argument("language", metavar="LANG", help="the code of the language, such as ko")
    adding.add_argument("--from", dest="file", metavar="FILE", type=Path, help="a zip fetched on another machine")


def _teach(parser: argparse.ArgumentParser) -> None:
    _taught(parser, required=True)
    _language(parser)
    ways = parser.add_mutually_exclusive_group()
    ways.add_argument("--words", metavar="NEXT,…", help="teach only these at the microphone: next,repeat,3")
    ways.add_argument("--all", action="store_true", help="teach every command")
    ways.add_argument(
        "--from",
        dest="folder",
        metavar="FOLDER",
        type=Path,
        help="recordings named after the command or number they stand for: next-1.wav, next-2.wav, next-3.wav, 4-1.wav",
    )
    ways.add_argument("--forget", action="store_true", help="delete what this weaver taught")
    parser.add_argument("--numbers", type=int, default=0, metavar="N", help="teach the numbers from 1 to N as well")
    parser.add_argument("--plain", action="store_true", help="print plain lines")
    _mouth(parser)
    _microphone(parser)


def _pedal(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--source",
        choices=("evdev", "terminal"),
        default="",
        help="the pedal's own device (Linux), or the keys it types; without it, whichever can be read",
    )


def _sequence(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="a sequence file, or the name of an example")


def _any_job(parser: argparse.ArgumentParser) -> None:
    called = [name for name, job in PASSES.items() if not job.compares]
    parser.add_argument("--job", choices=called, default="thread", help="of this job (%(default)s)")
    _size(parser)


def _size(parser: argparse.ArgumentParser) -> None:
    options = dict.fromkeys(job.size.option for job in PASSES.values())
    parser.add_argument(*options, dest="size", type=int, metavar="N", help="the size of calls, as the job has it")


def _language(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--language", default="en", choices=codes(), help="what is said and heard (%(default)s)")


def _json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON")


def _mouth(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--voice", help="by id, name or language, as heddlecall speak lists them")
    words_a_minute, decibels = f"{SLOWEST} to {FASTEST} (%(default)s)", f"{SOFTEST} to {LOUDEST} (%(default)s)"
    parser.add_argument("--speed", type=_speed, default=SPEED, metavar="N", help=f"words a minute, {words_a_minute}")
    parser.add_argument("--volume", type=_decibels, default=VOLUME, metavar="N", help=f"in dB, {decibels}")
    parser.add_argument("--loudspeaker", type=_device, metavar="NAME", help="part of its name, or its number")


def _ear(parser: argparse.ArgumentParser) -> None:
    _engine(parser)
    _taught(parser)
    _microphone(parser)


def _microphone(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--microphone", type=_device, metavar="NAME", help="part of its name, or its number")


def _engine(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ear", choices=[ear.value for ear in UntaughtEar], help="without it, vosk where a model is there"
    )
    parser.add_argument("--model", type=Path, metavar="FOLDER", help="the vosk model to hear with")


def _taught(parser: argparse.ArgumentParser, required: bool = False) -> None:
    parser.add_argument("--weaver", metavar="NAME", required=required, help="whose words, as taught with teach")


def _seconds(text: str) -> float:
    if not re.fullmatch(r"\d{1,2}(\.\d{1,3})?", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"{text!r} is no number of seconds; write 0.8, for instance")
    return float(text)


def _minutes(text: str) -> int:
    if not re.fullmatch(r"\d{1,3}", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"{text!r} is no number of minutes; write 30, or 0 for never")
    return int(text)


def _decibels(text: str) -> int:
    if not re.fullmatch(r"-?\d{1,2}", text, re.ASCII) or not SOFTEST <= int(text) <= LOUDEST:
        raise argparse.ArgumentTypeError(f"{text!r} is no volume; write {SOFTEST} to {LOUDEST}, in dB, such as -12")
    return int(text)


def _speed(text: str) -> int:
    if not re.fullmatch(r"\d{1,3}", text, re.ASCII) or not SLOWEST <= int(text) <= FASTEST:
        raise argparse.ArgumentTypeError(f"{text!r} is no speed; write {SLOWEST} to {FASTEST} words a minute")
    return int(text)


def _device(text: str) -> str | int:
    return int(text) if text.isdecimal() else text


def _weaver(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--voice", metavar="NAME", help="the weaver's: hibari, joe, or one that speak lists")
    _engine(parser)
