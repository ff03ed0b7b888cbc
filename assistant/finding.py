"""Looking for a mistake at the keyboard, without a sitting: questions printed, answers typed."""

from collections.abc import Callable, Iterator, Sequence

from assistant.errors import FindError
from assistant.finder import NOT_A_SHAFT, Ask, Look, Outcome
from assistant.meaning import Tell
from assistant.session.place import Course
from assistant.session.telling import found, question
from assistant.warp.locate import group_named
from assistant.warp.model import Warp
from assistant.warp.passes import HEDDLES, THREAD
from assistant.warp.passes.thread import yarn
from assistant.words.language import Language
from assistant.words.phrases import Phrases
from assistant.words.wording import Wording

NOT_SURE, BACK, LEAVE = "?", "b", "q"
MOST_LEFT = 999
LONGEST = 5  # digits of a number that is read at all


def begin(warp: Warp, name: str, over: int, left: Sequence[str], size: int | None) -> Look:
    """A search in the group of that name, `over` ends over (short: negative); `left` as "3=1", heddles by shaft.

    The warp is as it is called.

    Raises FindError where there is no such group, shaft or count.
    """
    number = group_named(warp, name)
    course = Course(warp, THREAD, size)
    ends = course.ends(number) if course.in_heddles else course.sizes[number]
    if not course.sizes[number]:
        raise FindError("no end of group {name!r} is in a heddle", name=name)
    if not -ends <= over <= MOST_LEFT:
        too_many = "{count} ends cannot be over in a group of {ends}"
        too_few = "{count} ends cannot be short in a group of {ends}"
        raise FindError(too_many if over > 0 else too_few, count=abs(over), ends=ends)
    heddles = dict(_heddles(warp, text) for text in left)
    yarns = [yarn(unit) for call in course.calls[number] for unit in call.units]
    return Look.begin(
        course.to_hold(number), course.starts[number], warp.loom.shafts, over, heddles or None, yarns,
        in_heddles=course.in_heddles, floating=course.floating(number),
    )  # fmt: skip


def _heddles(warp: Warp, text: str) -> tuple[int, int]:
    shaft, _, count = text.partition("=")
    known = {str(number): number for number in range(1, warp.loom.shafts + 1)}
    counted = _whole(count, -MOST_LEFT, MOST_LEFT)
    if shaft not in known or counted is None:
        what = "heddles left are {text!r}; write SHAFT=N, shafts 1 to {most}: 3=1, or 3=-1 where one lacks"
        raise FindError(what, text=text, most=warp.loom.shafts)
    return known[shaft], counted


def _whole(text: str, least: int, most: int) -> int | None:
    """A whole number from `least` to `most`, in ASCII; None for any other text."""
    digits = text.removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= LONGEST):
        return None
    return number if least <= (number := int(text)) <= most else None


def find(look: Look, warp: Warp, language: Language, answers: Callable[[], str]) -> Iterator[str]:
    """The questions, one at a time, what came out, and the steps of each choice that is named by its number.

    The cheapest is told first. `answers` gives the line typed, "" when there are no more.
    """
    unit = HEDDLES.unit if look.group.in_heddles else ""
    words, phrases = Wording(language, THREAD.name, unit), Phrases.read(language, "phrases", "errors")
    yield phrases.text("find: how to answer", unsure=NOT_SURE, back=BACK, leave=LEAVE)
    chosen: int | None = None  # of the choices, from 0; None while all are told
    while True:
        verdict = look.verdict
        if verdict and verdict.outcome is not Outcome.FOUND:
            yield phrases.text("find: no further")
            return
        yield words.text(*(found(look, warp, chosen) if verdict else question(look, warp)))
        if verdict and len(look.choices) == 1:
            return
        if verdict and chosen is None:
            yield phrases.text("find: choose", most=len(look.choices), back=BACK, leave=LEAVE)
        typed = answers().strip().lower()
        if typed in ("", LEAVE):
            return
        if verdict and typed != BACK:
            number = _whole(typed, 1, len(look.choices))
            chosen = None if number is None else number - 1
            continue
        after, chosen = _answered(look, typed), None
        if isinstance(after, Tell):
            yield phrases.told(after)
        else:
            look = after


def _answered(look: Look, typed: str) -> Look | Tell:
    """The search after a line typed; what is wrong with the line where it does not answer, and then nothing is kept."""
    if typed == NOT_SURE:
        return look.not_sure()
    if typed == BACK:
        return look.back() or look
    question = look.question
    shafts_asked = question is not None and question.ask is Ask.SHAFTS
    least = -look.largest if question is not None and question.ask is Ask.HEDDLES else 0
    told = [_whole(text, least, look.largest) for text in typed.replace("/", " ").replace(",", " ").split()]
    numbers = [number for number in told if number is not None]
    if not numbers or len(numbers) < len(told):
        return Tell("find: answer", least=least, most=look.largest, unsure=NOT_SURE, back=BACK, leave=LEAVE)
    if len(numbers) > 1 and not shafts_asked:
        return Tell("find: one number")
    if len(numbers) > look.most_shafts:
        return Tell("find: too many shafts", count=look.most_shafts)
    if len(set(numbers)) < len(numbers) or (len(numbers) > 1 and NOT_A_SHAFT in numbers):
        return Tell("find: contradictory")
    for number in numbers:
        look = look.number(number)
    return look.no_more() if look.told else look
