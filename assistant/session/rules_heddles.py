"""Heddles as a second count."""

from dataclasses import replace

from assistant.session.events import Event, Kind
from assistant.session.modes import Calling, Closing, Heddles, LastCall, Mode, Off, Which
from assistant.session.place import Place
from assistant.session.rule import Done, always, asks, closes, is_an_answer, rule
from assistant.session.rules_looking import looked


def _heddles_tell(place: Place, mode: Mode, event: Event) -> bool:
    """Heddles were counted out for this group, so that one left or missing shows a mistake."""
    return place.course.job.shafts is not None and place.can_look and place.heddles_counted


@rule(_heddles_tell)
def heddle_off(place: Place, mode: Closing | Which | Off, event: Event) -> Done:
    return _which_heddle(place, mode, event)


@rule(lambda place, mode, event: _heddles_tell(place, mode, event) and closes(place, mode, event))
def heddle_off_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    """Said while the last call is out."""
    return _which_heddle(place.acknowledge(), Closing(), event)


def _which_heddle(place: Place, back: Mode, event: Event) -> Done:
    told = Heddles(event.kind is Kind.HEDDLE_MISSING, Closing() if isinstance(back, Which) else back)
    within = event.number in range(1, place.size + 1)
    return asks(place.to(replace(told, count=event.number if within and event.number else 0)))


@rule(always)
def heddle_otherwise(place: Place, mode: Heddles, event: Event) -> Done:
    """Left, not missing; or missing, not left."""
    return asks(place.to(replace(mode, missing=event.kind is Kind.HEDDLE_MISSING)))


@rule(is_an_answer)
def heddles_told(place: Place, mode: Heddles, event: Event) -> Done:
    """The shaft, then how many; the search begins with what was seen there."""
    number = event.number or 0
    told = replace(mode, count=number) if mode.shaft else replace(mode, shaft=number)
    if not number:
        return asks(place.to(mode.back))
    if not told.count:
        return asks(place.to(told))
    there = place.to(mode.back)
    seen = {told.shaft: -told.count if told.missing else told.count}
    return looked(there, there.begin_look(heddles=seen), mode.back)


@rule(always)
def heddle_back(place: Place, mode: Heddles, event: Event) -> Done:
    return asks(place.to(replace(mode, shaft=0) if mode.shaft else mode.back))
