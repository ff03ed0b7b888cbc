"""Rehearsals: a simulated weaver does a job."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.cli.arguments import (
    WithFile,
    WithJob,
    WithJson,
    WithLanguage,
    WithReplace,
    WithSimulatedWeaver,
    decimal,
    file_to_write,
    number,
)
from assistant.cli.command import Command, When, argument, flag
from assistant.errors import RehearsalError
from assistant.output import show
from assistant.warp.passes import THREAD


@dataclass(frozen=True, kw_only=True)
class RehearseOptions(WithFile, WithLanguage, WithReplace, WithJob, WithSimulatedWeaver, WithJson):
    """Slips at known places, with or without sound; or mistakes of all kinds over whole warps."""

    audio: bool = flag("--audio", help="speak and listen for real, through a cable in memory")
    mistake: list[str] = argument(
        "--mistake",
        metavar="KIND@END",
        action="append",
        default=[],
        help="a slip at an end: skip, double, early-done, double-press or misheard; may be given several times",
    )
    mistakes_per_1000: float | None = argument(
        "--mistakes-per-1000",
        type=decimal,
        metavar="R",
        help="of all kinds, to 1,000 ends; no sound",
    )
    runs: int | None = argument("--runs", type=number, metavar="N", help="thread and read back so many whole warps (1)")
    wrong_answers: float | None = argument(
        "--wrong-answers",
        type=decimal,
        metavar="PERCENT",
        help="given when a mistake is looked for (5)",
    )
    misheard: float | None = argument(
        "--misheard", type=decimal, metavar="PERCENT", help="of the numbers read back (3)"
    )
    seed: int = argument(
        "--seed", type=number, default=0, metavar="N", help="another pace, another noise (%(default)s)"
    )
    sound: Path | None = argument(
        "--sound", type=file_to_write, metavar="OUT.wav", help="leave what was to be heard here; means --audio"
    )


def _rehearse(options: RehearseOptions) -> None:
    if any(given is not None for given in (options.mistakes_per_1000, *_covering(options).values())):
        _cover(options)
        return
    from assistant.outfile import Outfile
    from assistant.rehearsal.run import RehearsalWish, run, seconds
    from assistant.rehearsal.weaver import PlannedSlip
    from assistant.senses.sound import WAV

    wish = RehearsalWish(
        slips=[PlannedSlip.parse(text) for text in options.mistake],
        job=options.job,
        size=options.size,
        seed=options.seed,
        aloud=options.audio,
        voice=options.voice,
        ear=options.ear,
        model=options.model,
        sound=Outfile(options.sound, WAV, options.replace) if options.sound else None,
    )
    warp = options.warp
    options.say_how_long(seconds(warp, wish))
    report = run(warp, options.language, wish)
    options.show(report.as_json(), report.lines(options.printed))


def _cover(options: RehearseOptions) -> None:
    """Rehearse whole warps with mistakes of all kinds."""
    from assistant.rehearsal.coverage import CoverageWish, cover, seconds

    if options.mistakes_per_1000 is None:
        raise RehearsalError("--runs, --wrong-answers and --misheard go with --mistakes-per-1000")
    if options.mistake or options.audio or options.sound or options.job is not THREAD:
        raise RehearsalError("--mistakes-per-1000 is threading without sound; leave out --mistake, --audio and --job")
    given = {name: value for name, value in _covering(options).items() if value is not None}
    wish = CoverageWish(options.mistakes_per_1000, seed=options.seed, size=options.size, **given)
    warp = options.warp
    options.say_how_long(seconds(warp, wish))
    coverage = cover(warp, options.language, wish)
    options.show(coverage.as_json(), coverage.lines(options.printed))


def _covering(options: RehearseOptions) -> dict[str, Any]:
    return {"runs": options.runs, "wrong_answers": options.wrong_answers, "misheard": options.misheard}


@dataclass(frozen=True, kw_only=True)
class DemoOptions(WithLanguage, WithSimulatedWeaver):
    """Who speaks and who hears."""


def _demo(options: DemoOptions) -> None:
    from assistant.outfile import Outfile
    from assistant.rehearsal.demo import demo
    from assistant.senses.sound import WAV

    show(demo(options.language, options.voice, options.ear, options.model, Outfile.free(Path("demo.wav"), WAV)))


COMMANDS = (
    Command(
        "demo",
        "rehearse a short warp aloud, with a slip and its repair; leaves demo.wav",
        DemoOptions,
        _demo,
        When.AT_FIRST,
    ),
    Command("rehearse", "let a simulated weaver do a job", RehearseOptions, _rehearse, When.AT_FIRST),
)
