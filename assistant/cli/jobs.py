"""The jobs at the loom, and what comes next."""

from dataclasses import dataclass
from functools import partial
from typing import Any, get_args

from assistant.cli.arguments import (
    WithCallFrom,
    WithEar,
    WithFile,
    WithJson,
    WithLanguage,
    WithVoice,
    WithWarping,
    WithWhose,
    decibels,
    moment,
    number,
    seconds,
    size_setting,
    whole,
)
from assistant.cli.command import Argument, Command, Either, When, argument, flag, setting
from assistant.senses.mouth import LOUDEST
from assistant.senses.pedal import BOUNCE_S
from assistant.warp.model import CallFrom, Hangs
from assistant.warp.passes import CHECK, PASSES, READ, SLEY, THREAD, Pass
from assistant.words.language import load

_OPEN_EAR = Either()
MOST_MINUTES = 999


@dataclass(frozen=True, kw_only=True)
class JobOptions(WithCallFrom, WithLanguage, WithVoice, WithEar, WithWhose):
    """How to go on with a job, how to speak, to hear and to show."""

    size: int | None = argument()  # as the job has it
    usual_size: int | None = setting("", help="")  # where neither an option nor the record says
    fresh: bool = flag("--fresh", help="begin anew; the old record is kept")
    edited: bool = flag("--edited", help="go on although the file was edited further on")
    hangs: Hangs | None = argument(
        "--hangs",
        type=Hangs,
        choices=list(Hangs),
        metavar="HOW",
        help="where the file was edited in what is done: new, it hangs like that, or before, and is to be done anew",
    )
    same_warp: bool = flag("--same-warp", help="go on in this file with what was begun in another that holds the same")
    plain: bool = flag("--plain", lasting=True, help="print plain lines instead of the board")
    page: bool = flag("--page", lasting=True, help="show a page in a browser too, on this machine only")
    share: bool = flag("--share", lasting=True, help="and in the local network, for a phone or tablet")
    new_address: bool = flag("--new-address", help="share it at a new address; the one that was kept leads nowhere")
    volume_cap: int = argument(
        "--volume-cap",
        lasting="volume-cap",
        type=decibels,
        default=LOUDEST,
        metavar="N",
        help="never louder, also by louder (%(default)s)",
    )
    night: bool = flag("--night", lasting=True, help="begin softly, at -24 dB, and never above -18 dB")
    mute: bool = flag("--mute", lasting=True, help="do not speak")
    headset: bool = flag(
        "--headset", lasting=True, either=_OPEN_EAR, help="listen while speaking too: you wear headphones"
    )
    echo_canceller: bool = flag(
        "--echo-canceller",
        lasting=True,
        either=_OPEN_EAR,
        help="or through the system's echo canceller (PulseAudio, PipeWire)",
    )
    deaf: bool = flag("--deaf", lasting=True, help="do not listen")
    pedal: bool = flag("--pedal", lasting=True, usual=True, help="go by the pedal that was taught")
    bounce: float = argument(
        "--bounce",
        lasting="bounce",
        type=moment,
        default=BOUNCE_S,
        metavar="S",
        help="seconds in which the same touch, key or press again is not counted; 0: none (%(default)s)",
    )
    stand_up: int = argument(
        "--stand-up",
        lasting="stand-up",
        type=whole(0, MOST_MINUTES),
        default=30,
        metavar="MINUTES",
        help="of sitting after which you are asked to stand up; 0: never (%(default)s)",
    )


@dataclass(frozen=True, kw_only=True)
class ThreadOptions(JobOptions):
    """Threading, also of a warp that was threaded in part before."""

    threaded_to: str | None = argument(
        "--threaded-to", metavar="GROUP", help="begin after this group: it and those before are threaded, not counted"
    )


@dataclass(frozen=True, kw_only=True)
class SleyOptions(JobOptions):
    """Sleying, from where a weaver always does."""

    usual_call_from: CallFrom | None = setting(
        "sley-call-from", choices=get_args(CallFrom), help="from where you sley, where the file does not say"
    )


@dataclass(frozen=True, kw_only=True)
class CheckOptions(JobOptions):
    """Reading the threading back, either way."""

    read: bool = flag("--read", help=f"or {READ.about}")
    pace: float | None = argument(
        "--pace", type=seconds, metavar="S", help=f"seconds an end, from call to call ({CHECK.pace}, or as before)"
    )
    usual_pace: float | None = setting("pace", type=seconds, help="seconds an end, where none were checked before")


def _sit(
    job: Pass[Any],
    options: JobOptions,
    pace: float | None = None,
    usual_pace: float | None = None,
    threaded_to: str | None = None,
    usual_call_from: CallFrom | None = None,
) -> None:
    from assistant.senses.screen import at_a_terminal
    from assistant.session.resume import Resumption
    from assistant.sitting.gear import Gear
    from assistant.sitting.run import sit

    gear = Gear(
        mute=options.mute,
        voice=options.voice,
        speed=options.speed,
        volume=options.volume,
        volume_cap=options.volume_cap,
        night=options.night,
        loudspeaker=options.loudspeaker,
        deaf=options.deaf,
        ear=options.ear,
        model=options.model,
        weaver=options.weaver or options.heard,
        sits=options.whose or options.weaver or "",
        microphone=options.microphone,
        headset=options.headset,
        echo_canceller=options.echo_canceller,
        plain=options.plain,
        pace=pace,
        usual_pace=usual_pace,
        stand_up=options.stand_up,
        page=options.page,
        share=options.share,
        new_address=options.new_address,
        pedal=options.pedal,
        bounce=options.bounce,
    )
    resumption = Resumption(
        options.fresh,
        options.edited,
        threaded_to,
        options.hangs,
        options.same_warp,
        options.call_from,
        usual_call_from,
    )
    agrees = options.agrees if at_a_terminal() else None
    sit(
        options.path,
        job,
        options.language,
        resumption,
        options.size,
        gear,
        options.caution,
        agrees,
        usual_size=options.usual_size,
    )


def _thread(options: ThreadOptions) -> None:
    _sit(THREAD, options, threaded_to=options.threaded_to)


def _sley(options: SleyOptions) -> None:
    _sit(SLEY, options, usual_call_from=options.usual_call_from)


def _check(options: CheckOptions) -> None:
    _sit(READ if options.read else CHECK, options, options.pace, options.usual_pace)


def _size(job: Pass[Any]) -> dict[str, Argument]:
    size = job.size
    usual = f"{size.usual}, or by the repeat" if size.by_repeat else f"{size.usual}"
    about = f"{size.about}, 1 to {size.most} ({usual}, or as before)"
    settings = {"type": number, "metavar": "N", "help": about}
    kept = Argument((), None, {"type": whole(1, size.most), "help": about}, size_setting(job), typed=False)
    return {"size": Argument((size.option,), None, settings), "usual_size": kept}


def _job(job: Pass[Any]) -> Command[Any]:
    if job is CHECK:
        return Command(job.name, job.about, CheckOptions, _check, When.AT_THE_LOOM, _size(job))
    if job is THREAD:
        return Command(job.name, job.about, ThreadOptions, _thread, When.AT_THE_LOOM, _size(job))
    if job is SLEY:
        return Command(job.name, job.about, SleyOptions, _sley, When.AT_THE_LOOM, _size(job))
    return Command(job.name, job.about, JobOptions, partial(_sit, job), When.AT_THE_LOOM, _size(job))


@dataclass(frozen=True, kw_only=True)
class NextOptions(WithFile, WithWarping, WithWhose, WithLanguage, WithJson):
    """Of which warp."""


def _next(options: NextOptions) -> None:
    from assistant.paper import log
    from assistant.session.elsewhere import known_as
    from assistant.session.upcoming import upcoming
    from assistant.words.printed import Printed

    with options.kept() as records:
        file = known_as(records, options.path)
        told = upcoming(records, file, options.file, options.warp, options.usual_warping, options.whose or "")
    options.show(log.upcoming_as_json(told, Printed(load("en"))), log.upcoming(told, options.printed))


COMMANDS = (
    *(_job(job) for job in PASSES.values() if job is not READ),
    Command("next", "what comes next for a warp, and what is not yet closed", NextOptions, _next, When.BESIDE),
)
