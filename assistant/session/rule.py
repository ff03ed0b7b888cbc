"""What a rule is, how rules are joined, and what several of them do."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.meaning import Tell
from assistant.session.events import NOT_ASKED, Effect, Event, Kind, Origin, Sound, Tone
from assistant.session.modes import (
    Asking,
    Calling,
    Closing,
    Complete,
    Counting,
    Found,
    Going,
    Heddles,
    LastCall,
    Mode,
    Off,
    Partway,
    Passing,
    Sure,
    Which,
)
from assistant.session.place import Place
from assistant.session.telling import back_in, prompt
from assistant.session.view import GroupState
from assistant.warp.passes import Manner

SHORT, OVER = 1, 2  # the numbers that answer "short or over?"
ALL, FEWER = 1, 2  # and whether all ends of a group are threaded
MOST_OVER = 999  # ends left over that anyone would count

Telling = Callable[[Place], Iterable[Tell]]  # what is told of the place a rule leads to, worked out if it is wanted
Done = tuple[Place, list[Effect | Telling]]
Does = Callable[[Place, Any, Event], Done]  # the mode is the one the rule stands under in the table
Guard = Callable[[Place, Any, Event], bool]


@dataclass(frozen=True, slots=True)
class Rule:
    """What an event does, and whether it means something."""

    does: Does
    means: Guard


def always(place: Place, mode: Mode, event: Event) -> bool:
    """The guard of what means something wherever it stands in the table."""
    return True


def either(rule: Rule, other: Rule) -> Rule:
    """The first, where it means something; else the other."""
    return Rule(
        lambda place, mode, event: (rule if rule.means(place, mode, event) else other).does(place, mode, event),
        lambda place, mode, event: rule.means(place, mode, event) or other.means(place, mode, event),
    )


def only_if(means: Guard, rule: Rule) -> Rule:
    """The same, where this holds too."""
    return Rule(rule.does, lambda place, mode, event: means(place, mode, event) and rule.means(place, mode, event))


def rule(means: Guard) -> Callable[[Does], Rule]:
    """Make a rule of a function, with this guard."""
    return lambda does: Rule(does, means)


def heard_first(rule: Rule) -> Rule:
    """The same, but where it was only heard it is asked first whether it is meant."""

    def does(place: Place, mode: Mode, event: Event) -> Done:
        if event.by != Origin.VOICE or NOT_ASKED in event.source:
            return rule.does(place, mode, event)
        group = place.first_off if isinstance(mode, Complete) else place.group
        asked = replace(place, group=place.group if group is None else group)
        return asked.to(Sure(event.kind, mode, place.group)), [prompt]

    return Rule(does, rule.means)


def asks(place: Place, *before: Effect | Telling) -> Done:
    """Do these, then tell what the weaver is waited for to do."""
    return place, [*before, prompt]


def not_now(place: Place, mode: Mode, event: Event, *would: Tell) -> Done:
    """The event means nothing in this mode; the weaver is told what `would`, and what is waited for."""
    why = [*would]
    if event.kind is Kind.BACK and isinstance(mode, Calling):
        why = [Tell("first call")]
    if event.kind is Kind.PASS_ON and isinstance(mode, Off) and not place.can_pass_on:
        why = [Tell("none to pass on to", group=place.name)]
    return asks(place, Sound(Tone.UNCLEAR), *why)


def gone_on(place: Place, *before: Effect | Telling) -> Done:
    """The group in hand is closed: on, or back to where another was left for it."""
    after = place.go_on()
    return asks(after, *before, *([back_in] if place.home and not after.home else []))


def compares(place: Place, mode: Mode, event: Event) -> bool:
    """In this job what is threaded is compared with the sequence."""
    return place.course.job.compares


def counts(place: Place, mode: Mode, event: Event) -> bool:
    """In this job units are counted off a bundle, which may come out short or over."""
    return not compares(place, mode, event)


def closes(place: Place, mode: Mode, event: Event) -> bool:
    """The last call of a group is out that is counted off a bundle."""
    return counts(place, mode, event) and place.at_last_call()


def answers(place: Place, mode: Mode) -> Sequence[int]:
    """The numbers that answer what is asked in a mode, or that may be read aloud; empty where none does."""
    match mode:
        case Calling() | Closing() if place.course.job.manner is Manner.READ:
            return range(1, place.course.warp.loom.shafts + 1)
        case Which():
            return range(SHORT, OVER + 1)
        case Counting(missing):
            most = place.course.ends(place.group) if place.course.in_heddles else place.size
            return range((most if missing else MOST_OVER) + 1)
        case Partway():
            return range(min(len(place.call().units), place.size - 1 - place.here.counted) + 1)
        case LastCall():
            return range(len(place.call().units) + 1)
        case Heddles(shaft=0):
            return range(1, place.course.warp.loom.shafts + 1)
        case Heddles():
            return range(place.size + 1)
        case Passing():
            return range(ALL, FEWER + 1)
        case Going():
            return [number for number, size in enumerate(place.course.sizes, 1) if size]
        case Asking(look):
            return range(look.largest + 1)
        case Found(look) if len(look.choices) > 1:
            return range(1, len(look.choices) + 1)
        case _:
            return range(0)


def is_an_answer(place: Place, mode: Mode, event: Event) -> bool:
    """The number of the event is one of `answers`; none counts as 0."""
    return (event.number or 0) in answers(place, mode)


def by_hand(event: Event) -> bool:
    """It was typed or touched, so that a number in it is what it says."""
    return event.by in (Origin.KEY, Origin.PAGE) and not event.as_before


def closed_even(place: Place) -> Done:
    return gone_on(place.close(place.size, GroupState.EVEN), Sound(Tone.EVEN))


def as_before(rule: Rule) -> Rule:
    """The same, but only in a record from when the event meant that: "next" does not dismiss an alarm."""
    return only_if(lambda place, mode, event: event.as_before, rule)


def since(rule: Rule) -> Rule:
    """The same, but not in a record from when the event meant nothing there."""
    return only_if(lambda place, mode, event: not event.as_before, rule)
