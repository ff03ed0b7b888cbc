"""A warp on paper: what it takes, where its ends are, and what will be called."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.cli.arguments import (
    WithCallFrom,
    WithJob,
    WithJson,
    WithLanguage,
    WithPaper,
    WithReplace,
    WithSize,
    WithUnits,
    WithWarping,
    WithWhose,
    file_to_write,
    number,
    size_setting,
)
from assistant.cli.command import Command, Either, When, argument
from assistant.cli.settings import kept_under
from assistant.errors import JournalError
from assistant.output import show, show_json
from assistant.paper import CARDS
from assistant.warp.fault import Advance
from assistant.warp.locate import Spot
from assistant.warp.passes import THREAD, Pass
from assistant.warp.passes.order import USUAL
from assistant.warp.spelling import typed
from assistant.warp.turned import as_called


@dataclass(frozen=True, kw_only=True)
class PlanOptions(WithUnits, WithWarping, WithWhose, WithLanguage, WithPaper, WithReplace, WithJson, WithSize):
    """What a weaver adds to the sequence file, as it is written; a bare length is in the units told."""

    card: Path | None = argument(
        "--card", type=file_to_write, metavar="OUT.html", help="cards for the loom bench, as HTML or PDF"
    )
    job: list[str] = argument(
        "--job", choices=CARDS, action="append", default=[], help="only this card; may be repeated"
    )
    reeds: str | None = argument("--reeds", metavar="8,10,12", help="the reeds you have: rank them for the sett")
    reed_width: str | None = argument(
        "--reed-width", metavar="LENGTH", help="to centre the warp in; a bare length is in the unit"
    )
    section: str | None = argument("--section", metavar="LENGTH", help="the width of a tie-on section")
    cloth: str | None = argument("--cloth", metavar="LENGTH", help="how long the finished cloth is to be")
    take_up: str | None = argument("--take-up", metavar="PERCENT", help="lost to the weave (10)")
    shrinkage: str | None = argument("--shrinkage", metavar="PERCENT", help="lost in the wash (10)")
    waste: str | None = argument("--waste", metavar="LENGTH", help="lost on the loom (27 in or 70 cm)")
    waste_tied: str | None = argument(
        "--waste-tied", metavar="LENGTH", help="lost on the loom when a warp is tied on (half of it)"
    )


def _plan(options: PlanOptions) -> int:
    """Exit code 1 where the loom cannot take the warp as it stands."""
    from assistant.paper.plan import as_json, lines
    from assistant.warp.plan import plan, wishes

    warp = options.warp
    wish = wishes(
        warp.unit,
        cloth=options.cloth,
        take_up=options.take_up,
        shrinkage=options.shrinkage,
        waste=options.waste,
        waste_tied=options.waste_tied,
        reed_width=options.reed_width,
        section=options.section,
        reeds=options.reeds,
        paces=_paces(options),
    )
    planned = plan(warp, wish, options.usual_warping or USUAL)
    if options.card:
        from assistant.paper.cards import cards
        from assistant.paper.writing import card_file, write_cards

        out = card_file(options.card, options.replace)
        called = planned if as_called(warp) is warp else plan(as_called(warp), wish, options.usual_warping or USUAL)
        write_cards(cards(called, options.job, _size(options, THREAD), options.language, options.paper), out)
    options.show(as_json(planned), lines(planned, options.language))
    return 0 if planned.fits else 1


def _size(options: WithSize, job: Pass[Any]) -> int | None:
    """As typed, else as kept for this job; None for the usual one."""
    return options.size if options.size is not None else kept_under(size_setting(job))


def _paces(options: PlanOptions) -> dict[str, float]:
    """The weaver's own by job, in seconds a unit; none, and a line of caution, where the journal cannot be read."""
    from assistant.session.history import own_paces

    try:
        with options.kept() as records:
            return {own.job: own.seconds for own in own_paces(records, options.whose or "")}
    except JournalError as error:
        options.caution(error.tell)
        return {}


_WAYS = Either(required=True)


@dataclass(frozen=True, kw_only=True)
class EndOptions(WithUnits, WithLanguage, WithJson):
    """One way to say where an end is."""

    from_right: str | None = argument(
        "--from-right", either=_WAYS, metavar="LENGTH", help="its distance from the right edge, such as 18.4cm"
    )
    from_left: str | None = argument(
        "--from-left", either=_WAYS, metavar="LENGTH", help="its distance from the left edge"
    )
    end: int | None = argument("--end", either=_WAYS, type=number, metavar="N", help="its number, from 1")
    dent: int | None = argument(
        "--dent", either=_WAYS, type=number, metavar="N", help="its dent, from the first one in use"
    )
    cloth_width: str | None = argument(
        "--cloth-width", metavar="LENGTH", help="how wide the cloth is where you measured"
    )
    fault: str | None = argument(
        "--fault",
        choices=[stage.value for stage in Advance],
        help="a fault in the cloth there: its causes, and what to do at this stage",
    )


def _end(options: EndOptions) -> None:
    from assistant.paper.spot import lines
    from assistant.warp.locate import locate

    spots = locate(
        options.warp,
        from_right=options.from_right,
        from_left=options.from_left,
        end=options.end,
        dent=options.dent,
        cloth_width=options.cloth_width,
    )
    words = options.printed
    if options.fault:
        _show_fault(options, spots[0], Advance(options.fault))
        return
    options.show([each.as_json() for each in spots], (line for each in spots for line in lines(each, words)))


def _show_fault(options: EndOptions, at: Spot, stage: Advance) -> None:
    from assistant.paper import fault as told
    from assistant.paper import spot
    from assistant.warp.fault import fault

    find = f"heddlecall find {typed(options.file)} --group {typed(at.group)}"
    commands = (find, f"{find} --reed")
    found, words = fault(options.warp, at, stage), options.printed
    options.show(
        {**found.as_json(), "search": list(commands)},
        (*spot.lines(at, words), *told.lines(found, commands, words)),
    )


@dataclass(frozen=True, kw_only=True)
class CallsOptions(WithCallFrom, WithLanguage, WithJob, WithJson):
    """Which calls."""


def _calls(options: CallsOptions) -> None:
    from assistant.paper.sheet import as_json, lines

    warp, job = options.warp, options.job
    size = _size(options, job)
    if options.json:
        show_json(as_json(warp, options.language, job, size))
    else:
        show(lines(warp, options.language, job, size))
    for caution in job.cautions(warp):
        options.caution(caution)


COMMANDS = (
    Command(
        "plan",
        "heddles, reed, width and yarn, before a thread is cut; cards to print",
        PlanOptions,
        _plan,
        When.BEFORE_THE_LOOM,
    ),
    Command(
        "calls",
        "print the call sheet: what will be spoken, with running counts",
        CallsOptions,
        _calls,
        When.BESIDE,
    ),
    Command(
        "end",
        "where an end is: its group, shaft and dent, from a distance, a number or a dent",
        EndOptions,
        _end,
        When.BESIDE,
    ),
)
