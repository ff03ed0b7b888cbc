"""A call is out, or all are called."""

from dataclasses import replace

from assistant.meaning import Tell
from assistant.session.events import Event, Origin, Sound, Tone
from assistant.session.modes import Calling, Closing, LastCall, Mode, Partway, Which
from assistant.session.place import Place
from assistant.session.rule import Done, always, asks, closed_even, closes, is_an_answer, rule
from assistant.session.rules_closing import asks_how_many, run_out
from assistant.session.rules_looking import looked
from assistant.session.rules_reading_back import read_to_the_end, taken_back
from assistant.session.view import GroupState
from assistant.warp.passes import Manner


@rule(always)
def say_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place)


@rule(always)
def call_done(place: Place, mode: Calling, event: Event) -> Done:
    match place.course.job.manner:
        case Manner.READ:
            return read_to_the_end(place, mode, event)
        case Manner.STEADY:
            return _as_called(place, event)
    return asks(place.acknowledge())


def _as_called(place: Place, event: Event) -> Done:
    """The clock has moved on, or the weaver has, who is ahead of it: her haste is not the pace."""
    by_clock = event.by == Origin.CLOCK
    if event.as_before and not by_clock:
        return _differs(place)
    after = place.acknowledge()
    paced = after if by_clock else replace(after, paced=place.paced)
    return closed_even(paced) if isinstance(paced.mode, Closing) else asks(paced)


def _differs(place: Place) -> Done:
    """The ends ran out inside a group, or something in it is not as called: how far was it right?"""
    return asks(place.close(place.here.counted, GroupState.OFF).to(Partway()), Sound(Tone.OFF))


def in_it(place: Place, mode: Mode, event: Event) -> bool:
    """Something of the group in hand is done."""
    return place.here.counted > 0


def _can_look_so_far(place: Place, mode: Mode, event: Event) -> bool:
    """What hangs is as it was called, as far as is known: no repair is under way."""
    return place.can_look and in_it(place, mode, event) and not place.here.redo_to


@rule(lambda place, mode, event: place.course.job.manner is Manner.STEADY or _can_look_so_far(place, mode, event))
def mistake_at_call(place: Place, mode: Calling, event: Event) -> Done:
    """Look for it in what was called before; in a check by listening, it is what is called now that differs."""
    if place.course.job.manner is Manner.STEADY:
        return _differs(place)
    return looked(place, place.begin_look(), Calling(), Tell("look among", group=place.name, last=place.hanging))


@rule(lambda place, mode, event: not place.at_the_beginning() or taken_back(place, mode, event) is not None)
def call_before(place: Place, mode: Calling, event: Event) -> Done:
    if before := taken_back(place, mode, event):
        return asks(before)
    if place.here.counted:
        return asks(place.step_back(mode.asked))
    if place.home:
        return asks(place.visit(place.group))
    assert place.before is not None
    return _reopen(place, place.before, event)


@rule(always)
def last_call(place: Place, mode: Closing, event: Event) -> Done:
    return asks(taken_back(place, mode, event) or place.step_back(mode.asked))


def _reopen(place: Place, group: int, event: Event) -> Done:
    """Where the last call closes a group, it is opened at that call."""
    after = place.reopen(group)
    steady = place.course.job.manner is Manner.STEADY and not event.as_before
    there = after.step_back() if steady and isinstance(after.mode, Closing) else after
    return asks(there, Tell("reopened", group=there.name))


@rule(always)
def open_again(place: Place, mode: Mode, event: Event) -> Done:
    return _reopen(place, place.group, event)


@rule(always)
def used_up(place: Place, mode: Calling, event: Event) -> Done:
    """With the last call out it may have come out even; before that it is short."""
    if place.course.job.manner is Manner.READ or (event.as_before and closes(place, mode, event)):
        return call_done.does(place, mode, event)
    return asks(place.to(LastCall())) if closes(place, mode, event) else _differs(place)


@rule(always)
def uneven_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    if closes(place, mode, event):
        return asks(place.acknowledge().to(Which()))
    return used_up.does(place, mode, event)


@rule(closes)
def count_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    """Short or over said while the last call is out closes the group."""
    return asks_how_many(place.acknowledge(), event)


@rule(always)
def last_call_done(place: Place, mode: LastCall, event: Event) -> Done:
    return asks(place.acknowledge())


@rule(is_an_answer)
def part_of_last_call(place: Place, mode: LastCall, event: Event) -> Done:
    """The ends are used up: where all of the call are threaded, the group has come out even."""
    threaded = event.number or 0
    if threaded == len(place.call().units):
        return closed_even(place.acknowledge())
    return asks(run_out(place.close(place.here.counted, GroupState.OFF), threaded), Sound(Tone.OFF))


@rule(always)
def back_to_call(place: Place, mode: LastCall, event: Event) -> Done:
    return asks(place.to(Calling()))
