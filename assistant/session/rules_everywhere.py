"""What means the same wherever it is asked."""

from dataclasses import replace

from assistant.session.edit import Revision, fitting
from assistant.session.editing import edited
from assistant.session.events import Adjust, Event, Sound, Stop, Tone
from assistant.session.modes import Mode, Paused
from assistant.session.place import Place
from assistant.session.rule import Done, Rule, always, asks, rule
from assistant.session.telling import marked, saved, welcome, whereabouts


@rule(always)
def pause(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Paused(mode)))


@rule(always)
def wake(place: Place, mode: Paused, event: Event) -> Done:
    return asks(place.to(mode.back))


@rule(always)
def where(place: Place, mode: Mode, event: Event) -> Done:
    return place, [whereabouts]


@rule(always)
def mark(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place, marked(place))


@rule(always)
def unclear(place: Place, mode: Mode, event: Event) -> Done:
    return place, [Sound(Tone.UNCLEAR)]


@rule(always)
def no_move(place: Place, mode: Mode, event: Event) -> Done:
    return place, []


@rule(always)
def sit_down(place: Place, mode: Mode, event: Event) -> Done:
    woken = place.to(mode.back) if isinstance(mode, Paused) else place
    cut = woken.cut_calls(event.number, event.called_then).with_weaver(event.text)
    told = replace(cut, sittings=cut.sittings + 1, alike=cut.alike if event.alike is None else event.alike)
    return asks(told, welcome)


def _not_begun(place: Place, mode: Mode, event: Event) -> bool:
    """Nobody sat down yet, and so many groups there are."""
    return place.sittings == 0 and not place.done and 0 < (event.number or 0) <= len(place.groups)


@rule(_not_begun)
def begins_after(place: Place, mode: Mode, event: Event) -> Done:
    """The first groups were threaded before the record began."""
    return place.threaded_before(event.number or 0), []


@rule(always)
def heddles_known(place: Place, mode: Mode, event: Event) -> Done:
    """A record says whether heddles were counted out for this warp."""
    return replace(place, heddles_counted=bool(event.number), heddles_recorded=bool(event.number)), []


def _can_follow(place: Place, mode: Mode, event: Event) -> bool:
    return fitting(event.about, len(place.groups), place.course.job) is not None


@rule(_can_follow)
def on_as_edited(place: Place, mode: Mode, event: Event) -> Done:
    """The sequence is another from now on."""
    assert isinstance(event.about, Revision)
    return edited(place, event.about), []


@rule(always)
def leave(place: Place, mode: Mode, event: Event) -> Done:
    return place, [saved(place), Stop()]


def turned(knob: Adjust) -> Rule:
    return Rule(lambda place, mode, event: asks(place, knob), always)
