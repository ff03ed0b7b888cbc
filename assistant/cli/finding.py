"""Looking for a mistake without a sitting."""

from dataclasses import dataclass
from functools import partial

from assistant.cli.arguments import WithFile, WithJson, WithLanguage, WithSize, whole
from assistant.cli.command import Command, Either, When, argument, flag
from assistant.output import show, show_json
from assistant.warp.passes import SLEY, THREAD

MOST_OFF = 999  # ends

_WAYS = Either()


@dataclass(frozen=True, kw_only=True)
class FindOptions(WithFile, WithLanguage, WithSize, WithJson):
    """Which group did not come out, and how."""

    group: str = argument("--group", metavar="NAME", required=True, help="the group, by its name")
    over: int | None = argument("--over", either=_WAYS, type=whole(0, MOST_OFF), metavar="N", help="ends left over")
    short: int | None = argument("--short", either=_WAYS, type=whole(0, MOST_OFF), metavar="N", help="ends short")
    even: bool = flag("--even", either=_WAYS, help="the ends came out, and something is wrong nevertheless")
    left: list[str] = argument(
        "--heddle-left",
        "--left",
        metavar="SHAFT=N",
        action="append",
        default=[],
        help="heddles left, where they were counted out; -N where some lacked",
    )
    reed: bool = flag("--reed", help="in the reed: over and short count dents, by where the group ends")


def _find(options: FindOptions) -> None:
    if options.reed:
        _find_in_reed(options)
        return
    from assistant.finding import begin, find
    from assistant.finding_json import converse
    from assistant.senses.screen.typed import typed_lines

    over = options.over if options.over is not None else -(options.short or 0)
    warp = THREAD.along(options.warp)
    look = begin(warp, options.group, over, options.left, options.size)
    typed = partial(next, typed_lines(), "")
    if not options.json:
        show(find(look, warp, options.language, typed))
        return
    for told in converse(look, warp, typed):
        show_json(told)


def _find_in_reed(options: FindOptions) -> None:
    from assistant.finding_in_reed import begin, converse, find
    from assistant.senses.screen.typed import typed_lines

    look = begin(SLEY.along(options.warp), options.group, options.over or -(options.short or 0))
    answers = partial(next, typed_lines(), "")
    if options.json:
        for told in converse(look, answers):
            show_json(told)
    else:
        show(find(look, options.language, answers))


COMMANDS = (
    Command(
        "find",
        "find the mistake in a group that did not come out, in a few questions",
        FindOptions,
        _find,
        When.BESIDE,
    ),
)
