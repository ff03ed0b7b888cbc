"""Arguments that several commands share, each a base for their options; and how what is typed becomes a value."""

import os
import re
from argparse import ArgumentTypeError
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from assistant.cli.command import argument, flag, setting
from assistant.errors import LanguageError, TaughtError
from assistant.meaning import Tell
from assistant.output import complain, put, show, show_json
from assistant.paper.sizes import PAPERS, Paper, usual
from assistant.senses.mouth import FASTEST, LOUDEST, SLOWEST, SOFTEST, SPEED, VOLUME
from assistant.warp.examples import examples, find
from assistant.warp.model import CallFrom, Unit, Warp, Warping
from assistant.warp.passes import PASSES, Pass
from assistant.warp.passes.order import ORDERS
from assistant.warp.spelling import shown
from assistant.words.language import Language, UntaughtEar, codes, load

if TYPE_CHECKING:
    from assistant.session.journal import Records
    from assistant.words.printed import Printed

UNITS: dict[str, Unit] = {"metric": "cm", "imperial": "inch"}
LOG_LEVELS = ("debug", "info", "warning", "error")
UNTOLD_S, MINUTES_FROM_S = 10.0, 120.0  # how long work may take that nothing is said of; that is told in minutes


def number(text: str) -> int:
    """Reads a whole number in plain digits; whoever takes it knows its range."""
    if not re.fullmatch(r"-?\d{1,9}", text, re.ASCII):
        raise ArgumentTypeError(f"{shown(text)} is no whole number of up to nine digits")
    return int(text)


def whole(least: int, most: int) -> Callable[[str], int]:
    """Reads a whole number from `least` to `most`, in plain digits."""

    def read(text: str) -> int:
        if not re.fullmatch(r"-?\d{1,9}", text, re.ASCII) or not least <= int(text) <= most:
            raise ArgumentTypeError(f"{shown(text)} is no whole number from {least} to {most}")
        return int(text)

    return read


def decimal(text: str) -> float:
    """Reads a plain decimal; whoever takes it knows its range."""
    if not re.fullmatch(r"-?\d{1,9}(\.\d{1,9})?", text, re.ASCII):
        raise ArgumentTypeError(f"{shown(text)} is no number; write digits, as in 1.5")
    return float(text)


def seconds(text: str) -> float:
    """Reads seconds, from 0 to 99."""
    if not re.fullmatch(r"\d{1,2}(\.\d{1,3})?", text, re.ASCII):
        raise ArgumentTypeError(f"{shown(text)} is no number of seconds; write 0.8, for instance")
    return float(text)


def moment(text: str) -> float:
    """Reads seconds, from 0 to 2."""
    if not re.fullmatch(r"[01](\.\d{1,3})?|2(\.0{1,3})?", text, re.ASCII):
        raise ArgumentTypeError(f"{shown(text)} is no time from 0 to 2 s; write 0.4, for instance")
    return float(text)


def decibels(text: str) -> int:
    """Reads a volume."""
    if not re.fullmatch(r"-?\d{1,2}", text, re.ASCII) or not SOFTEST <= int(text) <= LOUDEST:
        raise ArgumentTypeError(f"{shown(text)} is no volume; write {SOFTEST} to {LOUDEST}, in dB, such as -12")
    return int(text)


def speed(text: str) -> int:
    """Reads a speed."""
    if not re.fullmatch(r"\d{1,3}", text, re.ASCII) or not SLOWEST <= int(text) <= FASTEST:
        raise ArgumentTypeError(f"{shown(text)} is no speed; write {SLOWEST} to {FASTEST} words a minute")
    return int(text)


def weaver(text: str) -> str:
    """Reads a weaver's name."""
    from assistant.senses.ear.taught import kept_in

    try:
        kept_in(text)
    except TaughtError as error:
        raise ArgumentTypeError(str(error)) from None
    return text


def device(text: str) -> str | int:
    """Reads part of a device's name, or its number."""
    return int(text) if re.fullmatch(r"\d{1,4}", text, re.ASCII) else text


def one_job(among: Iterable[str]) -> Callable[[str], Pass[Any]]:
    """Reads the name of one of these jobs."""
    names = list(among)

    def read(text: str) -> Pass[Any]:
        if text not in names:
            raise ArgumentTypeError(f"{shown(text)} is no job here; there are: {', '.join(names)}")
        return PASSES[text]

    return read


def _language(text: str) -> Language:
    try:
        return load(text)
    except LanguageError as error:
        raise ArgumentTypeError(str(error)) from None


def _paper(text: str) -> Paper:
    """Reads a size of paper."""
    if text.lower() not in PAPERS:
        raise ArgumentTypeError(f"{shown(text)} is no size of paper here; there are: {', '.join(PAPERS)}")
    return PAPERS[text.lower()]


def _units(text: str) -> Unit:
    """Reads which units."""
    if text.lower() not in UNITS:
        raise ArgumentTypeError(f"{shown(text)} are no units here; there are: {', '.join(UNITS)}")
    return UNITS[text.lower()]


def file_to_write(text: str) -> Path:
    """Reads the name of a file that is to be written; whoever takes it makes an Outfile of it."""
    if not text or text.endswith(("/", os.sep)):
        raise ArgumentTypeError(f"{shown(text)} names no file; write FILE, or FOLDER/FILE")
    return Path(text)


def sequences() -> list[str]:
    """What a shell may complete a sequence to: the examples, and files whose names end as theirs do."""
    return [*examples(), *(f"{file}" for file in sorted(Path().glob("*.yaml")))]


def taught_weavers() -> list[str]:
    """What a shell may complete a weaver's name to."""
    from assistant.senses.ear.taught import weavers

    return weavers()


@dataclass(frozen=True, kw_only=True)
class WithReplace:
    """A file to write that is there already."""

    replace: bool = flag("--replace", help="write over a file of the same kind that is there")


@dataclass(frozen=True, kw_only=True)
class WithPaper:
    """What is printed on."""

    asked_paper: Paper | None = argument(
        "--paper",
        lasting="paper",
        among=lambda: PAPERS,
        type=_paper,
        metavar="SIZE",
        help=f"of what is to be printed: {', '.join(PAPERS)}; without it as the system's locale has it",
    )

    @property
    def paper(self) -> Paper:
        """The size asked for, else the usual one."""
        return self.asked_paper or usual()


@dataclass(frozen=True, kw_only=True)
class WithFile:
    """A sequence file, which has to be there."""

    file: str = argument(metavar="FILE", help="a sequence file, or the name of an example", among=sequences)

    @property
    def path(self) -> Path:
        """Where it lies. Raises SequenceError where it is neither a file nor an example."""
        return find(self.file)

    @property
    def warp(self) -> Warp:
        """What is in it. Raises SequenceError."""
        from assistant.warp.sequence import load

        return load(self.path)


@dataclass(frozen=True, kw_only=True)
class WithCallFrom(WithFile):
    """From where a warp is called."""

    call_from: CallFrom | None = argument(
        "--call-from",
        choices=get_args(CallFrom),
        help="call from this edge, wherever end 1 lies, or sley from the centre out; the cloth stays as it is "
        "(as the file has it, or as before)",
    )

    @property
    def warp(self) -> Warp:
        """What is in it, to be called from there. Raises SequenceError."""
        warp = super().warp
        return replace(warp, call_from=self.call_from) if self.call_from else warp


@dataclass(frozen=True, kw_only=True)
class WithUnits(WithFile):
    """A sequence file, told in the weaver's units."""

    units: Unit | None = argument(
        "--units",
        lasting="units",
        among=lambda: UNITS,
        type=_units,
        metavar="UNITS",
        help=f"in which lengths, sett and reed are told, and a bare length is taken: {', '.join(UNITS)}; "
        "without it those of the file",
    )

    @property
    def warp(self) -> Warp:
        """What is in it, in these units. Raises SequenceError, PlanError."""
        from assistant.warp.units import told_in

        warp = super().warp
        return told_in(warp, self.units or warp.unit)


@dataclass(frozen=True, kw_only=True)
class WithWarping:
    """In which order a loom is dressed, where the file does not say."""

    usual_warping: Warping | None = setting(
        "warping", choices=tuple(ORDERS), help="in which order you dress a loom, where the file does not say"
    )


@dataclass(frozen=True, kw_only=True)
class WithLog:
    """Whatever is done, and how much of it is written down for whoever looks for a fault."""

    log_level: str | None = argument(
        "--log",
        choices=LOG_LEVELS,
        metavar="LEVEL",
        help=f"write a log into a file, and say where: {', '.join(LOG_LEVELS)}; without names and texts",
    )


@dataclass(frozen=True, kw_only=True)
class WithLanguage(WithLog):
    """What is said and heard, or read."""

    language: Language = argument(
        "--language",
        lasting="language",
        among=codes,
        type=_language,
        default="en",
        metavar="CODE",
        help=f"what is said, heard and shown: {', '.join(codes())} (%(default)s)",
    )

    @property
    def printed(self) -> "Printed":
        """What puts into words what the command prints."""
        from assistant.words.printed import Printed

        return Printed(self.language)

    def caution(self, told: Tell) -> None:
        """Print a line of caution beside what the command prints."""
        from assistant.words.phrases import Phrases

        words = Phrases.read(self.language, "printed", "phrases", "errors")
        complain(words.text("caution", told=told))

    def agrees(self, asked: Tell, *lines: Tell) -> bool:
        """Ask at the terminal, after lines to be read first; nothing but Enter is a yes."""
        from assistant.senses.screen.typed import typed_lines
        from assistant.words.phrases import Phrases

        words = Phrases.read(self.language, "printed", "errors")
        show(f"  {words.told(line)}" for line in lines)
        put(words.told(asked))
        return not next(typed_lines(), "no").strip()

    def say_how_long(self, seconds: float) -> None:
        """Tell of work that takes more than ten seconds about how long it takes, before it begins."""
        if seconds >= MINUTES_FROM_S:
            self.caution(Tell("takes minutes", count=round(seconds / 60)))
        elif seconds > UNTOLD_S:
            self.caution(Tell("takes seconds", count=5 * round(seconds / 5)))

    @contextmanager
    def kept(self) -> Iterator["Records"]:
        """What the journal holds, to read; a line of caution tells of each record that had to be passed over."""
        from assistant.session.journal import Records, default_path

        with Records.read(default_path(), self.caution) as records:
            yield records
        for each in records.passed_over.values():
            self.caution(each)


@dataclass(frozen=True, kw_only=True)
class WithJson:
    """Lines to read, or JSON."""

    json: bool = flag("--json", help="print JSON")

    def show(self, told: dict[str, object] | list[dict[str, object]], lines: Iterable[str]) -> None:
        """Print what is told, in the shape that was asked for."""
        if self.json:
            show_json(told)
        else:
            show(lines)


def size_setting(job: Pass[Any]) -> str:
    """Under which name the size of a job's calls is kept."""
    return f"{job.name}-{job.size.option.lstrip('-')}"


@dataclass(frozen=True, kw_only=True)
class WithSize:
    """The size of calls, by the option of whichever job."""

    size: int | None = argument(
        *dict.fromkeys(job.size.option for job in PASSES.values()),
        type=number,
        metavar="N",
        help="the size of calls, as the job has it",
    )


@dataclass(frozen=True, kw_only=True)
class WithJob(WithSize):
    """A job that is called, and the size of its calls."""

    job: Pass[Any] = argument(
        "--job",
        among=lambda: (name for name, job in PASSES.items() if not job.compares),
        type=one_job(name for name, job in PASSES.items() if not job.compares),
        default="thread",
        metavar="JOB",
        help=f"of this job: {', '.join(name for name, job in PASSES.items() if not job.compares)} (%(default)s)",
    )


@dataclass(frozen=True, kw_only=True)
class WithVoice:
    """The helper's voice, and where it comes from."""

    voice: str | None = argument(
        "--voice", lasting="voice", help="by id, name or language, as heddlecall voices lists them"
    )
    speed: int = argument(
        "--speed",
        lasting="speed",
        type=speed,
        default=SPEED,
        metavar="N",
        help=f"words a minute, {SLOWEST} to {FASTEST} (%(default)s)",
    )
    volume: int = argument(
        "--volume",
        lasting="volume",
        type=decibels,
        default=VOLUME,
        metavar="N",
        help=f"in dB, {SOFTEST} to {LOUDEST} (%(default)s)",
    )
    loudspeaker: str | int | None = argument(
        "--loudspeaker", lasting="loudspeaker", type=device, metavar="NAME", help="part of its name, or its number"
    )


@dataclass(frozen=True, kw_only=True)
class WithMicrophone:
    """Where it listens."""

    microphone: str | int | None = argument(
        "--microphone", lasting="microphone", type=device, metavar="NAME", help="part of its name, or its number"
    )


@dataclass(frozen=True, kw_only=True)
class WithEngine:
    """What hears without being taught."""

    ear: UntaughtEar | None = argument(
        "--ear",
        lasting="ear",
        type=UntaughtEar,
        choices=list(UntaughtEar),
        metavar="EAR",
        help=f"{', '.join(UntaughtEar)}; without it the one built in",
    )
    model: Path | None = argument(
        "--model", lasting="model", type=Path, metavar="FOLDER", help="the vosk model to hear with"
    )


@dataclass(frozen=True, kw_only=True)
class WithEar(WithEngine, WithMicrophone):
    """Whatever hears, taught or not, and where."""

    weaver: str | None = argument(
        "--weaver",
        lasting="weaver",
        among=taught_weavers,
        type=weaver,
        metavar="NAME",
        help="whose words, as taught with teach",
    )


@dataclass(frozen=True, kw_only=True)
class WithWhose:
    """Of several weavers, which one."""

    whose: str | None = argument(
        "--for", lasting="weaver", among=taught_weavers, type=weaver, metavar="WEAVER", help="who it is that weaves"
    )

    @property
    def heard(self) -> str | None:
        """The weaver, where she taught words to be heard by."""
        return self.whose if self.whose in taught_weavers() else None


@dataclass(frozen=True, kw_only=True)
class WithSimulatedWeaver(WithEngine):
    """The voice of a simulated weaver, and what hears it."""

    voice: str | None = argument("--voice", metavar="NAME", help="the weaver's: hibari, joe, or one that speak lists")
