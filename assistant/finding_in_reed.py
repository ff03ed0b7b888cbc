"""Looking for a mistake in the reed, without a sitting: at the keyboard, or in JSON, one object a line."""

import json
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from assistant.errors import FindError
from assistant.finder.reed import ReedAnswer, ReedAsk, ReedQuestion, ReedRepair, Resley
from assistant.finder.reed_look import MOST_DENTS, ReedLook
from assistant.session.telling_reed import asked_of, came_out
from assistant.warp.model import CallFrom, Warp
from assistant.warp.notation import Shafts
from assistant.warp.passes.sley import lies
from assistant.words.language import Language
from assistant.words.phrases import Phrases

NOT_SURE, BACK, LEAVE = "?", "b", "q"
MOST_ENDS = 9_999  # that a count or the number of a dent may come to
MOST_REPAIRS = 6
LONGEST = 5  # digits of a number that is read at all


def begin(warp: Warp, name: str, over: int) -> ReedLook:
    """A search in the group of that name, which ends so many dents too far (short of its dent: negative).

    Raises FindError where there is no such group or count, PlanError where the dents are not known.
    """
    number = next((number for number, group in enumerate(warp.groups) if group.name == name), None)
    if number is None:
        names = ", ".join(group.name for group in warp.groups[:12])
        raise FindError("there is no group {name!r}; the groups are: {names}", name=name, names=names)
    leg = next(leg for leg in lies(warp) if number in leg.groups)
    look = ReedLook.begin(warp, leg, number, over)
    dents = len(look.sleying.due)
    if dents > MOST_DENTS:
        what = "{name} has {count} dents; a mistake is looked for in groups of up to {most}"
        raise FindError(what, name=name, count=dents, most=MOST_DENTS)
    if not -dents < over <= dents:
        raise FindError("a group of {count} dents cannot end {off} dents off", count=dents, off=abs(over))
    return look


# At the keyboard.


def find(look: ReedLook, language: Language, answers: Callable[[], str]) -> Iterator[str]:
    """The questions, one at a time, and what is to be done; `answers` gives the line typed, "" at their end."""
    words = Phrases.read(language, "printed", "phrases", "errors")
    yield words.text(f"reed how {_counted_from(look)}", unsure=NOT_SURE, back=BACK, leave=LEAVE)
    while not _all_right(look):
        question = look.search.question
        yield from _asked(look, question, words) if question else _found(look, words)
        if question is None and look.repairs + 1 == MOST_REPAIRS:
            yield words.text("reed no further", group=look.group)
            return
        typed = answers().strip().lower()
        if typed in ("", LEAVE):
            return
        after = _after(look, question, typed)
        if after is None:
            key = "reed answer shafts" if question and question.ask is ReedAsk.DENT else "reed answer"
            most = 1 if question and question.ask is ReedAsk.ALONG else MOST_ENDS
            yield words.text(key, least=0, most=most, unsure=NOT_SURE, back=BACK, leave=LEAVE)
        else:
            look = after
    yield words.text("reed all right", group=look.group)


def _all_right(look: ReedLook) -> bool:
    verdict = look.search.verdict
    return verdict is not None and verdict.repair.way is Resley.NOTHING


def _asked(look: ReedLook, asked: ReedQuestion, words: Phrases) -> Iterator[str]:
    if look.again:
        yield words.text("asked again")
    what, *mark = map(words.told, asked_of(look, asked))
    how = {ReedAsk.DENT: "reed write shafts", ReedAsk.ALONG: "reed write yes"}.get(asked.ask)
    yield f"{what} {words.text(how)}" if how else what
    yield from mark


def _found(look: ReedLook, words: Phrases) -> Iterator[str]:
    """What it is, what to do, and the question in which dent the group ends then."""
    verdict = look.verdict
    assert verdict is not None
    yield from map(words.told, came_out(look, verdict))
    yield words.text("reed asks end", group=look.group, dent=look.last_dent)


def _after(look: ReedLook, asked: ReedQuestion | None, typed: str) -> ReedLook | None:
    """The search after a line typed; None where the line does not answer, and then nothing is kept."""
    if typed == BACK:
        return look.back() or look
    if asked is None:
        dent = _whole(typed, MOST_ENDS)
        return look.mended(dent) if dent else None
    if typed == NOT_SURE:
        return look.answer(None)
    if asked.ask is ReedAsk.DENT:
        ends = _ends(typed)
        return None if ends is None else look.answer(ends)
    number = _whole(typed, 1 if asked.ask is ReedAsk.ALONG else MOST_ENDS)
    return None if number is None else look.answer(number)


def _whole(text: str, most: int) -> int | None:
    """A whole number up to `most`, in ASCII; None for any other text."""
    plain = text.isascii() and text.isdigit() and len(text) <= LONGEST
    return int(text) if plain and int(text) <= most else None


def _ends(typed: str) -> tuple[Shafts, ...] | None:
    """The shafts of each end in a dent: "1 2", "3/5 4"; none for "0"."""
    ends = [[_whole(shaft, MOST_ENDS) for shaft in end.split("/")] for end in typed.replace(",", " ").split()]
    told = [tuple(sorted(shaft for shaft in end if shaft)) for end in ends]
    if any(None in end for end in ends) or not ends or (len(ends) > 1 and () in told):
        return None
    return tuple(sorted(end for end in told if end))


# For a program.


def converse(look: ReedLook, answers: Callable[[], str]) -> Iterator[dict[str, object]]:
    """Questions and repairs as objects; `answers` gives a line of JSON. Raises FindError for one that does not answer.

    After a repair comes what the group ends in then: {"ends_in": 48}.
    """
    asked_in_all = 0
    while not _all_right(look):
        question = look.search.question
        if question is not None:
            yield _as_json(look, question)
            if not (line := answers()):
                return
            asked_in_all += 1
            look = look.answer(_answered(question, _read(line)))
            continue
        verdict = look.search.verdict
        assert verdict is not None
        if look.repairs + 1 == MOST_REPAIRS:
            right = look.before + verdict.right_up_to
            yield {"result": "not_found", "right_up_to": right, "asked": asked_in_all}
            return
        yield {**_repair_as_json(look, verdict.repair), "asked": asked_in_all}
        if not (line := answers()):
            return
        ends_in = _read(line).get("ends_in")
        if type(ends_in) is not int or not 0 < ends_in <= MOST_ENDS:
            raise FindError('after a repair the answer is {{"ends_in": DENT}}, the dent in which the group ends')
        look = look.mended(ends_in)
    yield {"result": "right", "asked": asked_in_all}


def _counted_from(look: ReedLook) -> CallFrom:
    return look.start if look.from_edge else "centre"


def _as_json(look: ReedLook, asked: ReedQuestion) -> dict[str, object]:
    first, last = look.before + asked.first, look.before + asked.last
    where: dict[str, object] = {"dent": first} if asked.ask is ReedAsk.DENT else {"first": first, "last": last}
    due = {"ends": list(look.sleying.due[asked.first - 1 : asked.last])} if asked.ask is ReedAsk.ALONG else {}
    again = {"again": True} if look.search.again else {}
    return {"question": asked.ask.value, **where, "from": _counted_from(look), **due, **again}


def _repair_as_json(look: ReedLook, repair: ReedRepair) -> dict[str, object]:
    return {
        "repair": repair.way.value,
        "mistake": repair.mistake.value,
        "dent": look.before + repair.dent,
        "from": _counted_from(look),
        "take_out": {"first": repair.first, "last": repair.last},
        "ends_before": look.ends_before + repair.first - 1,
    }


def _read(line: str) -> dict[str, Any]:
    try:
        told = json.loads(line)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise FindError('an answer is one line with a JSON object, such as {{"count": 20}}')
    return told


def _answered(asked: ReedQuestion, told: dict[str, Any]) -> ReedAnswer | None:
    """None: not sure."""
    if told.get("unsure") is True:
        return None
    match asked.ask, told:
        case ReedAsk.COUNT, {"count": int(count)} if type(count) is int and 0 <= count <= MOST_ENDS:
            return count
        case ReedAsk.ALONG, {"yes": bool(yes)}:
            return int(yes)
        case ReedAsk.DENT, {"shafts": list(ends)} if all(map(_is_end, ends)):
            return tuple(sorted(tuple(sorted(end)) for end in ends))
    raise FindError("that is no answer to the question {question!r}", question=asked.ask.value)


def _is_end(told: object) -> bool:
    return isinstance(told, Sequence) and bool(told) and all(type(shaft) is int for shaft in told)
