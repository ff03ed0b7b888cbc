"""What a question points at: ends of a group as they hang, or dents of the reed, counted from a side. Pure."""

from collections.abc import Iterable
from itertools import accumulate

from assistant.finder import Ask, Look, Way
from assistant.finder.reed import ReedAsk
from assistant.finder.reed_look import ReedLook
from assistant.session.modes import Asking, Closing, Counting, Found, LastCall, Mode, Partway, Paused, There, Which
from assistant.session.place import Place
from assistant.session.telling import side_of
from assistant.session.view import Pointing, Span, Thing


def pointing(place: Place) -> Pointing | None:
    """What is pointed at; None where nothing is."""
    return _pointing(place, place.mode)


def _pointing(place: Place, mode: Mode) -> Pointing | None:
    match mode:
        case Asking(Look() as look):
            return _asked(place, look)
        case Asking(ReedLook() as look):
            return _asked_in_reed(look)
        case Found(Look() as look, chosen=chosen):
            return _found(place, look, chosen or 0)
        case Found(ReedLook() as look):
            return _found_in_reed(look)
        case Closing() | Which() | Counting() if place.course.ends_in:
            dent = place.course.ends_in[place.group]
            return Pointing(Thing.DENTS, ((dent, dent),), place.course.begins_at(place.group), dent)
        case Partway() | LastCall() | There():
            return _called(place, mode.at if isinstance(mode, There) else place.here.counted)
        case Paused(back):
            return _pointing(place, back)
        case _:
            return None


def _asked(place: Place, look: Look) -> Pointing | None:
    asked = look.question
    if asked is None or asked.ask is Ask.HEDDLES:
        return None
    further = look.search.landmark.further(asked)
    first = asked.end if asked.ask is Ask.SHAFTS else 1
    return Pointing(
        Thing.ENDS, ((first, asked.end),), side_of(place.course.warp, asked.side), _hanging(look),
        asked.end - further if further else 0,
    )  # fmt: skip


def _hanging(look: Look) -> int:
    """The ends that hang: those in the hand do not."""
    over = 0 if look.group.in_heddles else look.observation.over
    return len(look.group.expected) - max(over, 0)


def _found(place: Place, look: Look, number: int) -> Pointing | None:
    """The ends that come out, or that are still to be threaded."""
    if number >= len(look.choices):
        return None
    choice = look.choices[number]
    repair = choice.repair
    if repair.way in (Way.NOTHING, Way.LEAVE) or not repair.first:
        return None
    ends = repair.taken_out or (repair.threaded if repair.way is Way.THREAD_ON else 1)
    meant = tuple(_spans(choice.moved)) or ((repair.first, repair.first + ends - 1),)
    return Pointing(Thing.ENDS, meant, place.course.warp.start, max(_hanging(look), meant[-1][1]))


def _spans(numbers: Iterable[int]) -> list[Span]:
    """Rising numbers, those that follow each other together."""
    spans: list[Span] = []
    for number in numbers:
        if spans and spans[-1][1] == number - 1:
            spans[-1] = spans[-1][0], number
        else:
            spans.append((number, number))
    return spans


def _asked_in_reed(look: ReedLook) -> Pointing | None:
    asked = look.question
    if asked is None:
        return None
    mark = max((mark for mark in look.sleying.marks if mark < asked.first), default=0)
    return Pointing(
        Thing.DENTS, ((look.before + asked.first, look.before + asked.last),), look.start, look.last_dent,
        look.before + mark if mark and asked.ask is ReedAsk.DENT else 0,
        look.sleying.due[asked.first - 1 : asked.last] if asked.ask is ReedAsk.ALONG else (),
    )  # fmt: skip


def _found_in_reed(look: ReedLook) -> Pointing | None:
    """The dents that are to be sleyed anew, as they should be."""
    verdict = look.verdict
    if verdict is None or not verdict.repair.dent:
        return None
    first, upto = verdict.repair.dent, list(accumulate(look.sleying.due))
    last = next(dent for dent, ends in enumerate(upto, 1) if ends >= verdict.repair.last)
    held = look.sleying.due[first - 1 : last]
    return Pointing(Thing.DENTS, ((look.before + first, look.before + last),), look.start, look.last_dent, held=held)


def _called(place: Place, counted: int) -> Pointing | None:
    """The ends of a call, in a job that goes along them as they hang."""
    job = place.course.job
    if job.unit == "heddle" or not job.on_loom or place.course.ends_in:
        return None
    call = place.course.call_of(place.group, counted)
    return Pointing(Thing.ENDS, ((call.start + 1, call.stop),), place.course.warp.start, place.size)
