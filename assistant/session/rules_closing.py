"""Did a group come out even? And what is done where it did not."""

from dataclasses import replace

from assistant.session.events import SHAFTS_ALONE, Event, Kind, Sound, Tone
from assistant.session.modes import Closing, Complete, Counting, Mode, Off, Partway, Which
from assistant.session.place import Place
from assistant.session.rule import (
    SHORT,
    Done,
    always,
    answers,
    asks,
    closed_even,
    counts,
    gone_on,
    heard_first,
    is_an_answer,
    rule,
)
from assistant.session.rules_reading_back import read_to_the_end
from assistant.session.telling import settled
from assistant.session.view import GroupState
from assistant.warp.passes import Manner


def run_out(place: Place, threaded: int) -> Place:
    """The group in hand is off after so many ends of its call."""
    return place.count(replace(place.here, counted=place.here.counted + threaded), mode=Off())


@rule(always)
def even(place: Place, mode: Closing, event: Event) -> Done:
    return read_to_the_end(place, mode, event) if place.course.job.manner is Manner.READ else closed_even(place)


@rule(counts)
def short_or_over(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Which()))


def _lie_is_asked(place: Place, mode: Mode, event: Event) -> bool:
    """All shafts of the group in hand were read; how its ends lie shows in none."""
    return place.course.job.manner is Manner.READ and SHAFTS_ALONE not in event.source


@rule(_lie_is_asked)
def lies_otherwise(place: Place, mode: Closing, event: Event) -> Done:
    """Ends cross, share an eye or have another colour."""
    return asks(place.close(place.size, GroupState.OFF).to(Off()), Sound(Tone.OFF))


@rule(is_an_answer)
def which(place: Place, mode: Which, event: Event) -> Done:
    return asks(place.to(Counting(event.number == SHORT)))


@rule(counts)
def how_many(place: Place, mode: Mode, event: Event) -> Done:
    return asks_how_many(place, event)


def asks_how_many(place: Place, event: Event) -> Done:
    """Ask for the number, unless it was said with it."""
    counting = Counting(event.kind is Kind.SHORT)
    after = place.to(counting)
    return asks(after) if event.number not in answers(place, counting) else counted.does(after, counting, event)


@rule(is_an_answer)
def counted(place: Place, mode: Counting, event: Event) -> Done:
    if not event.number:
        return asks(place.to(Closing()))
    if place.course.ends_in and not event.as_before:
        off = place.close_in(-event.number if mode.missing else event.number)
    elif mode.missing:
        off = place.close_short(event.number)
    else:
        off = place.close_over(event.number)
    return asks(off.to(Off()), Sound(Tone.OFF))


@rule(always)
def ask_even(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Closing()))


# A count is off.


@rule(is_an_answer)
def part_of_call(place: Place, mode: Partway, event: Event) -> Done:
    """The ends ran out inside a call: the number says how many of its ends were threaded."""
    return asks(run_out(place, event.number or 0))


@rule(always)
def no_part(place: Place, mode: Partway, event: Event) -> Done:
    return asks(place.to(Off()))


@rule(always)
def left_off(place: Place, mode: Off, event: Event) -> Done:
    """The group stays marked."""
    return asks(place) if event.kind is Kind.RESUME and event.as_before else gone_on(place)


@heard_first
@rule(always)
def do_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.restart())


@heard_first
@rule(lambda place, mode, event: place.here.state is GroupState.OFF)
def settle(place: Place, mode: Mode, event: Event) -> Done:
    return closed_settled(place)


def closed_settled(place: Place) -> Done:
    after = place.settle()
    return gone_on(after, *settled(after))


def anything_off(place: Place, mode: Complete, event: Event) -> bool:
    return place.first_off is not None


def at_first_off(place: Place) -> Place:
    return replace(place, group=place.group if place.first_off is None else place.first_off)


@heard_first
@rule(anything_off)
def redo_off(place: Place, mode: Complete, event: Event) -> Done:
    return asks(at_first_off(place).restart())


@heard_first
@rule(anything_off)
def settle_off(place: Place, mode: Complete, event: Event) -> Done:
    return closed_settled(at_first_off(place))
