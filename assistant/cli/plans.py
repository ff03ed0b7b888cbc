"""A warp on paper: what it takes, where its ends are, and what will be called."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
    sequences,
    size_setting,
)
from assistant.cli.command import Argument, Command, Either, When, argument
from assistant.cli.settings import kept_under
from assistant.errors import JournalError, PlanError
from assistant.meaning import Tell
from assistant.output import show, show_json
from assistant.paper import CARDS
from assistant.warp.fault import Advance
from assistant.warp.locate import Spot
from assistant.warp.model import Unit
from assistant.warp.passes import THREAD, Pass
from assistant.warp.passes.order import USUAL
from assistant.warp.spelling import typed
from assistant.warp.turned import as_called

if TYPE_CHECKING:
    from assistant.warp.plan import Plan, Wishes


@dataclass(frozen=True, kw_only=True)
class WithCloth:
    """The cloth that a weaver has in mind, and what is lost on the way to it; a bare length is in the units told."""

    width: str | None = argument("--width", metavar="LENGTH", help="how wide the finished cloth is to be")
    cloth: str | None = argument(
        "--cloth", metavar="LENGTH", help="how long the finished cloth, or each piece, is to be"
    )
    pieces: str | None = argument("--pieces", metavar="N", help="how many pieces of that length (1)")
    hem: str | None = argument("--hem", metavar="LENGTH", help="to turn in at each end of a piece")
    fringe: str | None = argument("--fringe", metavar="LENGTH", help="left unwoven at each end of a piece")
    sample: str | None = argument("--sample", metavar="LENGTH", help="woven first, to try")
    sett: str | None = argument(
        "--sett", metavar="N", help="ends in an inch, or in 10 cm; 8/cm is understood: without FILE"
    )
    picks: str | None = argument("--picks", metavar="N", help="the same of the weft (as many as ends)")
    yarn: str | None = argument("--yarn", metavar="COUNT", help="of the warp, as its label has it: without FILE")
    weft: str | None = argument(
        "--weft", metavar="COUNT", help="of the weft, or a yarn of the file by its key; without FILE that of the warp"
    )
    put_up: str | None = argument("--put-up", metavar="SIZE", help="a skein or cone of the warp: 250g, 1/2lb, 1680yd")
    weft_put_up: str | None = argument("--weft-put-up", metavar="SIZE", help="the same of another weft")
    repeat: str | None = argument(
        "--repeat", metavar="WHAT", help="the group that may be repeated; without FILE the ends in a repeat"
    )
    edges: str | None = argument("--edges", metavar="N", help="ends beside the repeats: without FILE")
    draw_in: str | None = argument("--draw-in", metavar="PERCENT", help="of the width, lost on the loom (5)")
    take_up: str | None = argument("--take-up", metavar="PERCENT", help="of the warp, lost to the weave (10)")
    weft_take_up: str | None = argument("--weft-take-up", metavar="PERCENT", help="the same of the weft (10)")
    shrinkage: str | None = argument("--shrinkage", metavar="PERCENT", help="lost in the wash (10)")
    width_shrinkage: str | None = argument(
        "--width-shrinkage", metavar="PERCENT", help="the same of the width (as of the length)"
    )
    waste: str | None = argument("--waste", metavar="LENGTH", help="lost on the loom (27 in or 70 cm)")
    waste_tied: str | None = argument(
        "--waste-tied", metavar="LENGTH", help="lost on the loom when a warp is tied on (a tenth of it)"
    )


@dataclass(frozen=True, kw_only=True)
class PlanOptions(
    WithUnits, WithCloth, WithWarping, WithWhose, WithLanguage, WithPaper, WithReplace, WithJson, WithSize
):
    """What a weaver adds to the sequence file, as it is written, or has in mind before there is one."""

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


def _plan(options: PlanOptions) -> int:
    """Exit code 1 where the loom cannot take the warp as it stands."""
    from assistant.paper.plan import as_json, lines

    planned = _planned(options) if options.file else _imagined(options)
    if options.card:
        from assistant.paper.cards import cards
        from assistant.paper.writing import card_file, write_cards
        from assistant.warp.plan import plan

        out, warp = card_file(options.card, options.replace), as_called(planned.warp)
        called = planned if warp is planned.warp else plan(warp, planned.wanted, options.usual_warping or USUAL)
        write_cards(cards(called, options.job, _size(options, THREAD), options.language, options.paper), out)
    options.show(as_json(planned), lines(planned, options.language))
    return 0 if planned.fits else 1


def _planned(options: PlanOptions) -> "Plan":
    """That of a file."""
    from assistant.warp.plan import plan

    warp = options.warp
    for option, said in {"--sett": options.sett, "--yarn": options.yarn, "--edges": options.edges}.items():
        if said is not None:
            raise PlanError("{option} is what the sequence file says; leave it out", option=option)
    return plan(warp, _wishes(options, warp.unit), options.usual_warping or USUAL, options.repeat)


def _imagined(options: PlanOptions) -> "Plan":
    """That of a cloth of which there is no file yet."""
    from assistant.warp.lengths import unit_written
    from assistant.warp.model import MOST_ENDS
    from assistant.warp.plan import imagined, plan_cloth
    from assistant.warp.plan.wishes import per_unit, whole

    if not (options.width and options.sett):
        raise PlanError("name a sequence file; or, where there is none yet, write --width and --sett")
    if options.card:
        raise PlanError("cards are made of a sequence file; name one")
    unit = options.units or unit_written(options.width) or "inch"
    sett = per_unit(options.sett, Tell("the sett"), unit)
    repeat = whole(options.repeat or "1", Tell("the repeat"), MOST_ENDS)
    edges = whole(options.edges or "0", Tell("the ends beside the repeats"), MOST_ENDS - repeat, least=0)
    of = imagined(unit, sett, options.yarn or "", repeat, edges)
    return plan_cloth(of, _wishes(options, unit), options.usual_warping or USUAL)


def _wishes(options: PlanOptions, unit: Unit) -> "Wishes":
    from assistant.warp.plan import wishes
    from assistant.warp.plan.cloth import WARP

    return wishes(
        unit,
        cloth=options.cloth,
        width=options.width,
        pieces=options.pieces,
        hem=options.hem,
        fringe=options.fringe,
        sample=options.sample,
        take_up=options.take_up,
        weft_take_up=options.weft_take_up,
        shrinkage=options.shrinkage,
        width_shrinkage=options.width_shrinkage,
        draw_in=options.draw_in,
        waste=options.waste,
        waste_tied=options.waste_tied,
        picks=options.picks,
        weft=options.weft if options.file else options.weft or WARP,
        put_up=options.put_up,
        weft_put_up=options.weft_put_up,
        reed_width=options.reed_width,
        section=options.section,
        reeds=options.reeds,
        paces=_paces(options),
    )


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
    job.from_where(options.call_from)
    size = _size(options, job)
    if options.json:
        show_json(as_json(warp, options.language, job, size))
    else:
        show(lines(warp, options.language, job, size))
    for caution in job.cautions(warp):
        options.caution(caution)


_MAYBE_A_FILE = Argument(
    (),
    None,
    {
        "metavar": "FILE",
        "nargs": "?",
        "default": "",
        "help": "a sequence file, or the name of an example; without it --width and --sett say what cloth is wanted",
    },
    among=sequences,
)

COMMANDS = (
    Command(
        "plan",
        "heddles, reed, width and yarn, before a thread is cut, or from the cloth that is wanted; cards to print",
        PlanOptions,
        _plan,
        When.BEFORE_THE_LOOM,
        instead={"file": _MAYBE_A_FILE},
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
