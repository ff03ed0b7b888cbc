"""What is off goes to the next group; another group is gone to, looked at, and left."""

from assistant.session.events import Event, Sound, Tone
from assistant.session.modes import Going, Mode, Off, Passing, There
from assistant.session.place import Place
from assistant.session.rule import ALL, Done, always, answers, asks, gone_on, is_an_answer, rule
from assistant.session.rules_looking import look
from assistant.session.telling import back_in, call_there, passed_on, whereabouts_there

MOST_PASSED_ON = 9  # ends; more is no slip of a bundle


def _passes_on(place: Place, mode: Mode, event: Event) -> bool:
    """A few ends of a bundle are left over or lack, and the next group can take them."""
    few = 0 < abs(place.off_by) <= MOST_PASSED_ON and place.size > abs(place.off_by)
    return place.can_look and few and place.can_pass_on and _whole(place)


def _whole(place: Place) -> bool:
    """What is off are whole heddles, where those are counted."""
    off = abs(place.off_in_ends)
    return place.course.ends_of_last(place.group, place.course.last_of(place.group, off)) == off


@rule(_passes_on)
def pass_on(place: Place, mode: Off, event: Event) -> Done:
    """Ends that lack are called in the next group; of those in the hand it is asked whose they are."""
    return asks(place.to(Passing())) if place.here.over else _passed_on(place, place.here.counted)


@rule(is_an_answer)
def threaded(place: Place, mode: Passing, event: Event) -> Done:
    """All ends of the group are threaded, and what is left over are others; or they are its own last ones."""
    return _passed_on(place, place.size if event.number == ALL else place.fewer)


def _passed_on(place: Place, hanging: int) -> Done:
    after = place.pass_on(hanging)
    return gone_on(after, Sound(Tone.EVEN), passed_on(after))


@rule(always)
def back_to_alarm(place: Place, mode: Passing, event: Event) -> Done:
    return asks(place.to(Off()))


# Another group.


@rule(always)
def go_to(place: Place, mode: Mode, event: Event) -> Done:
    """Ask for its number, unless it was said with it."""
    going = Going(mode)
    there = place.to(going)
    return gone_to.does(there, going, event) if event.number in answers(place, going) else asks(there)


@rule(is_an_answer)
def gone_to(place: Place, mode: Going, event: Event) -> Done:
    after = place.to(mode.back).visit((event.number or 0) - 1)
    return asks(after, whereabouts_there, call_there)


@rule(always)
def stay(place: Place, mode: Going, event: Event) -> Done:
    return asks(place.to(mode.back))


@rule(always)
def next_there(place: Place, mode: There, event: Event) -> Done:
    """The next call of a group that is looked at; after the last one back."""
    after = place.look_on(1)
    return (after, [call_there]) if after else _home(place)


@rule(lambda place, mode, event: place.look_on(-1) is not None)
def before_there(place: Place, mode: There, event: Event) -> Done:
    return place.look_on(-1) or place, [call_there]


def _home(place: Place) -> Done:
    after = place.come_home()
    return asks(after, *([] if after.home else [back_in]))


@rule(always)
def come_back(place: Place, mode: Mode, event: Event) -> Done:
    """Back from another group; else there is nothing to continue."""
    return _home(place) if place.home else asks(place)


@rule(lambda place, mode, event: look.means(place, mode, event) and place.hanging > 0)
def look_there(place: Place, mode: There, event: Event) -> Done:
    """Look for a mistake in a group that is looked at."""
    return look.does(place, mode, event)
