"""Looking for a mistake at the keyboard, without a sitting: questions printed, answers typed."""

from collections.abc import Callable, Iterator, Sequence

from assistant.errors import FindError
from assistant.finder import Look, Outcome
from assistant.session.events import Say
from assistant.session.wording import Wording
from assistant.warp.model import Group, Warp
from assistant.warp.passes import THREAD
from assistant.warp.passes.thread import shafts
from assistant.words.language import Language

NOT_SURE, BACK, LEAVE = "?", "b", "q"
MOST_LEFT = 999


def begin(warp: Warp, name: str, over: int, left: Sequence[str], size: int | None) -> Look:
    """A search in the group of that name, `over` ends over (short: negative); `left` as "3=1", heddles by shaft.

    Raises FindError where there is no such group, shaft or count.
    """
    number = next((number for number, group in enumerate(warp.groups) if group.name == name), None)
    if number is None:
        raise FindError(f"there is no group {name!r}; the groups are: {', '.join(_some(warp.groups))}")
    ends = warp.groups[number].ends
    if not -len(ends) <= over <= MOST_LEFT:
        raise FindError(f"{abs(over)} ends cannot be {'over' if over > 0 else 'short'} in a group of {len(ends)}")
    starts = [call.start for call in THREAD.calls_by_group(warp, size)[number]]
    heddles = dict(_heddles(warp, text) for text in left)
    return Look.begin([shafts(end) for end in ends], starts, warp.loom.shafts, over, heddles or None)


def _some(groups: Sequence[Group]) -> list[str]:
    names = [group.name for group in groups]
    return names if len(names) <= 12 else [*names[:6], "…", *names[-6:]]


def _heddles(warp: Warp, text: str) -> tuple[int, int]:
    shaft, _, count = text.partition("=")
    known = {str(number): number for number in range(1, warp.loom.shafts + 1)}
    counted = count.removeprefix("-")
    if shaft not in known or not (counted.isascii() and counted.isdigit() and int(counted) <= MOST_LEFT):
        raise FindError(
            f"heddles left are {text!r}; write SHAFT=N, shafts 1 to {warp.loom.shafts}: 3=1, or 3=-1 where one lacks"
        )
    return known[shaft], int(count)


def find(look: Look, language: Language, answers: Callable[[], str]) -> Iterator[str]:
    """The questions, one at a time, and what came out; `answers` gives the line typed, "" when there are no more."""
    words = Wording(language, THREAD)
    yield (
        f"answer with a number, several for an end on several shafts, 0 where there is no such end; "
        f"{NOT_SURE} not sure, {BACK} back, {LEAVE} leave"
    )
    while (verdict := look.verdict) is None:
        yield Say(words.question(look)).text
        typed = answers().strip().lower()
        if typed in ("", LEAVE):
            return
        try:
            look = _answered(look, typed)
        except FindError as error:
            yield str(error)
    found = verdict.outcome is Outcome.FOUND
    yield Say(words.found(look)).text if found else "asking leads no further: read the group back end by end"


def _answered(look: Look, typed: str) -> Look:
    if typed == NOT_SURE:
        return look.not_sure()
    if typed == BACK:
        return look.back() or look
    numbers = typed.replace("/", " ").replace(",", " ").split()
    if not all(number.lstrip("-").isdecimal() and int(number) <= look.largest for number in numbers):
        raise FindError(f"answer with a number from 0 to {look.largest}, {NOT_SURE}, {BACK} or {LEAVE}")
    for number in numbers[: look.most_shafts]:
        look = look.number(int(number))
    return look.no_more() if look.told else look
