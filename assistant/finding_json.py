"""Looking for a mistake for machines: one JSON object a line out, one answer a line in.

Positions are counted within the group from the side named, 1 first; every end that hangs counts, also one in no eye.
Where some heddles hold several ends, or ends float, heddles are counted, whatever is in them.
"""

import json
from collections.abc import Callable, Iterator
from typing import Any

from assistant.errors import FindError
from assistant.finder import Ask, Look, Question, Repair, Side, Way
from assistant.session.telling import side_of
from assistant.warp.model import Warp

FORMS = {
    Ask.SHAFTS: '{"shafts": [3]}, {"shafts": []}, {"no_eye": true}, {"unsure": true}',
    Ask.COUNT: '{"count": 4}, {"unsure": true}',
    Ask.HEDDLES: '{"count": 1}, {"unsure": true}',
    Ask.RIGHT_UP_TO: '{"yes": true}, {"yes": false}, {"unsure": true}',
}
NAMES = {
    Ask.SHAFTS: "shafts", Ask.COUNT: "count_on_shaft", Ask.HEDDLES: "heddles_left", Ask.RIGHT_UP_TO: "right_up_to",
}  # fmt: skip


def converse(look: Look, warp: Warp, answers: Callable[[], str]) -> Iterator[dict[str, object]]:
    """The questions, one at a time, and the result; `answers` gives the line read, "" when there are no more.

    Raises FindError for a line that does not answer.
    """
    asked = 0
    while (question := look.question) is not None:
        yield _put(look, question, warp)
        asked += 1
        look = _answered(look, question, answers(), asked)
    yield _result(look, warp) | {"asked": asked}


def _put(look: Look, question: Question, warp: Warp) -> dict[str, object]:
    name, side = {"question": NAMES[question.ask]}, side_of(warp, question.side)
    match question.ask:
        case Ask.SHAFTS:
            return name | {"end": question.end, "from": side}
        case Ask.COUNT:
            return name | {"shaft": question.shaft, "first": question.end, "from": side}
        case Ask.HEDDLES:
            return name | {"shaft": question.shaft}
        case Ask.RIGHT_UP_TO:
            asked = name | {"end": question.end, "from": side, "shafts": [list(shafts) for shafts in look.should_be]}
            return asked | ({"ends": list(look.should_hold)} if look.should_hold else {})


def _answered(look: Look, question: Question, line: str, number: int) -> Look:
    """The search after the answer to the question of this number."""
    if not line:
        what = 'answer {number} is missing: write one of these on a line for "{question}": {forms}'
        raise FindError(what, number=number, question=NAMES[question.ask], forms=FORMS[question.ask])
    match question.ask, _read(line):
        case _, ("unsure", True):
            return look.not_sure()
        case Ask.SHAFTS, ("no_eye", True):
            return look.no_eye()
        case Ask.SHAFTS, ("shafts", [*shafts]) if _are_shafts(shafts, look.group.shafts):
            return look.on_shafts(tuple(shafts))
        case Ask.COUNT, ("count", int(count)) if _is_whole(count, 0, question.end):
            return look.number(count)
        case Ask.HEDDLES, ("count", int(count)) if _is_whole(count, -look.largest, look.largest):
            return (look.lacking() if count < 0 else look).number(abs(count))
        case Ask.RIGHT_UP_TO, ("yes", bool(yes)):
            return look.right_so_far(yes)
    what = 'answer {number}, {line!r}, does not answer "{question}"; write one of these on a line: {forms}'
    told = {"line": line.strip()[:100], "question": NAMES[question.ask], "forms": FORMS[question.ask]}
    raise FindError(what, number=number, **told)


def _read(line: str) -> tuple[str, Any] | None:
    """The one entry of the object in a line; None for anything else."""
    try:
        read = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return next(iter(read.items())) if isinstance(read, dict) and len(read) == 1 else None


def _is_whole(number: object, least: int, most: int) -> bool:
    return isinstance(number, int) and not isinstance(number, bool) and least <= number <= most


def _are_shafts(shafts: list[Any], most: int) -> bool:
    return all(_is_whole(shaft, 1, most) for shaft in shafts) and len(set(shafts)) == len(shafts)


def _result(look: Look, warp: Warp) -> dict[str, object]:
    hypothesis = look.verdict and look.verdict.hypothesis
    if not hypothesis:
        return {"result": "not_found", "right_up_to": look.search.landmark.right}
    repair: Repair = hypothesis.repair
    if repair.way is Way.NOTHING:
        return {"result": "right"}
    first = {"first": repair.first, "count": repair.taken_out, "from": side_of(warp, Side.FIRST)}
    thread = list(range(repair.first, repair.first + repair.threaded))
    kind = hypothesis.mistake.kind.value if hypothesis.mistake else "something else"
    how = {"way": str(repair.way)} if look.group.in_heddles else {}
    return {"result": "repair", "kind": kind, **how, "take_out": first, "thread": thread}
