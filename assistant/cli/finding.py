"""Looking for a mistake without a sitting."""

import json
from dataclasses import dataclass
from functools import partial

from assistant.cli.arguments import WithFile, WithJson, WithLanguage, WithSize, whole
from assistant.cli.command import Command, Either, When, argument, flag
from assistant.errors import FindError
from assistant.output import show

MOST_OFF = 999  # ends

_WAYS = Either()


@dataclass(frozen=True, kw_only=True)
class FindOptions(WithFile, WithLanguage, WithSize, WithJson):
    """Which group did not come out, and how."""

    group: str = argument("--group", metavar="NAME", required=True, help="the group, by its name")
    over: int | None = argument("--over", either=_WAYS, type=whole(0, MOST_OFF), metavar="N", help="ends left over")
    short: int | None = argument("--short", either=_WAYS, type=whole(0, MOST_OFF), metavar="N", help="ends short")
    left: list[str] = argument(
        "--left", metavar="SHAFT=N", action="append", default=[], help="heddles left, where they were counted out"
    )
    reed: bool = flag("--reed", help="in the reed: over and short count dents, by where the group ends")


def _find(options: FindOptions) -> None:
    if options.reed:
        _find_in_reed(options)
        return
    if options.json:
        raise FindError("--json goes with --reed; write both, or neither")
    from assistant.finding import begin, find
    from assistant.senses.screen.typed import typed_lines

    over = options.over if options.over is not None else -(options.short or 0)
    look = begin(options.warp, options.group, over, options.left, options.size)
    show(find(look, options.warp, options.language, partial(next, typed_lines(), "")))


def _find_in_reed(options: FindOptions) -> None:
    from assistant.finding_in_reed import begin, converse, find
    from assistant.senses.screen.typed import typed_lines

    look = begin(options.warp, options.group, options.over or -(options.short or 0))
    answers = partial(next, typed_lines(), "")
    if options.json:
        show(json.dumps(each, ensure_ascii=False) for each in converse(look, answers))
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
