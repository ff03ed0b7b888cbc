"""The threading read back, aloud or by hand: on in silence while it is as expected."""

from dataclasses import replace
from typing import Any

from assistant.meaning import Tell
from assistant.readback import NO_HEDDLE, AskAgain, Difference, Good, Reading, TypedShaft
from assistant.session.events import SHAFTS_ALONE, Event, Origin, Sound, Tone
from assistant.session.modes import Calling, Closing, Mode
from assistant.session.place import Place
from assistant.session.rule import Done, answers, asks, by_hand, closed_even, rule
from assistant.session.telling import read_again
from assistant.warp.passes import Manner

MOST_ASKED = 5  # times the same ends are asked for again before the weaver is sent to look
TYPED_ON = 1.0  # seconds: a key sooner after an end was asked for again was pressed before that was heard: assumption


def can_be_read(place: Place, mode: Mode, event: Event) -> bool:
    """In this job shafts are read aloud, and the loom has all those of the event."""
    reads = place.course.job.manner is Manner.READ
    no_heddle = (NO_HEDDLE,) if by_hand(event) else ()
    return reads and all(shaft in answers(place, mode) or shaft in no_heddle for shaft in event.row)


def taken_back(place: Place, mode: Calling | Closing, event: Event) -> Place | None:
    """Without what was read and is not settled, or, by hand, without the end read last; None where neither is."""
    if place.course.job.manner is not Manner.READ or event.as_before:
        return None
    reading = _reading(place, mode, event)
    if not reading.unsettled and not (by_hand(event) and reading.confirmed):
        return None
    return place.confirm(reading.back(reading.confirmed + reading.unsettled))


@rule(can_be_read)
def row_read(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """Shafts were read: on in silence while they are as expected."""
    if by_hand(event):
        return _typed(place, mode, event)
    return _judged(place, mode, event, *_reading(place, mode, event).hear(event.row))


@rule(lambda place, mode, event: can_be_read(place, mode, _as_row(event)))
def number_read(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """A number typed, or said on its own, where rows are read."""
    return row_read.does(place, mode, _as_row(event))


def _as_row(event: Event) -> Event:
    return replace(event, row=(event.number or 0,))


def _reading(place: Place, mode: Any, event: Event) -> Reading:
    return replace(mode.reading or place.begin_reading(), as_before=event.as_before)


def _typed(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """End by end, up to one that is asked for again; what is typed on before that was heard is not taken."""
    worked = place.worked
    if mode.again and worked.last < TYPED_ON and not worked.away:
        return place, [Sound(Tone.UNCLEAR)]
    done: Done = place, []
    for shaft in event.row:
        here = done[0]
        done = _judged(here, here.mode, event, *_reading(here, here.mode, event).hear([TypedShaft(shaft)]))
        if any(isinstance(effect, Sound) for effect in done[1]):
            break
    return done


def read_to_the_end(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """The weaver finds no further end in the group."""
    reading = _reading(place, mode, event)
    if event.by == Origin.PEDAL and not (event.as_before or reading.confirmed or reading.unsettled):
        return asks(place, Sound(Tone.UNCLEAR), Tell("names no shaft"))
    return _judged(place, mode, event, *reading.finish())


def _judged(place: Place, mode: Any, event: Event, reading: Reading, outcome: Good | AskAgain | Difference) -> Done:
    if reading.begun:
        return place.to(replace(mode, reading=reading, again=None)), []
    on_the_way = by_hand(event) and event.row and reading.confirmed > place.here.counted
    again = outcome if isinstance(outcome, AskAgain) and not on_the_way else None
    after = place.confirm(reading, mode.asked, again)
    match outcome, after.mode:
        case Good(), _ if reading.checked and (isinstance(mode, Closing) or SHAFTS_ALONE in event.source):
            return closed_even(after)
        case Good(), Closing():
            return asks(after)
        case Good(), _:
            return after, []
        case AskAgain(), Calling(asked=asked) | Closing(asked=asked) if asked < MOST_ASKED:
            return after, [Sound(Tone.UNCLEAR), read_again(reading)] if again else []
        case _:
            return asks(after.differs_from(outcome), Sound(Tone.OFF))
