"""The whole table: for each event the modes in which it means something, and the rule of what it does there.

A rule takes a place, its mode and an event, and returns the place after it with what the helper does about it. Its
guard says whether the event means something there; what is offered asks the same guard. The rules stand in files by
what is done: rules_threading, rules_reading_back, rules_closing, rules_looking, rules_heddles, rules_elsewhere, and
rules_everywhere; rule has what all of them are made with. Everything that moves a session happens there, and nothing
there knows a language.
"""

from collections.abc import Iterable
from dataclasses import replace

from assistant.meaning import Tell
from assistant.session.events import TURNS, Event, Kind, Origin
from assistant.session.hints import by_switch, hints, told
from assistant.session.modes import (
    MODES,
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
    Paused,
    Sure,
    There,
    Which,
)
from assistant.session.place import Place
from assistant.session.rule import (
    Done,
    Rule,
    always,
    answers,
    as_before,
    asks,
    either,
    not_now,
    only_if,
    rule,
    since,
)
from assistant.session.rules_closing import (
    ask_even,
    counted,
    do_again,
    even,
    how_many,
    left_off,
    lies_otherwise,
    no_part,
    part_of_call,
    redo_off,
    settle,
    settle_off,
    short_or_over,
    which,
)
from assistant.session.rules_elsewhere import (
    back_to_alarm,
    before_there,
    come_back,
    go_to,
    gone_to,
    look_there,
    next_there,
    pass_on,
    stay,
    threaded,
)
from assistant.session.rules_everywhere import (
    begins_after,
    heddles_known,
    leave,
    mark,
    no_move,
    on_as_edited,
    pause,
    sit_down,
    turned,
    unclear,
    wake,
    where,
)
from assistant.session.rules_heddles import heddle_back, heddle_off, heddle_off_at_call, heddle_otherwise, heddles_told
from assistant.session.rules_looking import (
    all_told,
    answered,
    choose,
    heddles_asked,
    heddles_lack,
    look,
    look_off,
    look_or_redo,
    not_right,
    question_before,
    set_right,
    unsure,
)
from assistant.session.rules_reading_back import number_read, row_read
from assistant.session.rules_threading import (
    back_to_call,
    call_before,
    call_done,
    count_at_call,
    in_it,
    last_call,
    last_call_done,
    mistake_at_call,
    open_again,
    part_of_last_call,
    say_again,
    uneven_at_call,
    used_up,
)

# What leads through the table again.


@rule(always)
def sure(place: Place, mode: Sure, event: Event) -> Done:
    """It is meant: as if it had been done by hand."""
    back = replace(place, mode=mode.back, group=mode.group)
    meant = replace(event, kind=mode.kind, source="")
    found = find_rule(mode.back, mode.kind)
    return found.does(back, mode.back, meant) if found else asks(back)


said_twice = Rule(sure.does, lambda place, mode, event: mode.kind is event.kind)


@rule(always)
def not_meant(place: Place, mode: Sure, event: Event) -> Done:
    return asks(replace(place, mode=mode.back, group=mode.group))


@rule(always)
def wake_and_act(place: Place, mode: Paused, event: Event) -> Done:
    woken, found = place.to(mode.back), find_rule(mode.back, event.kind)
    return found.does(woken, mode.back, event) if found and found.means(woken, mode.back, event) else asks(woken)


@rule(always)
def help_out(place: Place, mode: Mode, event: Event) -> Done:
    """What can be said or pressed; asked again, what else."""
    return replace(place, helped=place.helped + 1), [*_can(place, event, place.helped)]


def _can(place: Place, event: Event, asked: int | None = None) -> Iterable[Tell]:
    moment = place.mode.name, place.course.job.name, offers(place)
    named = by_switch(*moment) if event.by == Origin.PEDAL else hints(*moment, place.home is not None)
    return told(named, event.by, answers(place, place.mode), asked)


def _would(place: Place, event: Event) -> Iterable[Tell]:
    """Of a number that answers nothing, which would; where none would, or the weaver is not sure, what can be said."""
    numbers = answers(place, place.mode)
    if event.kind is Kind.NUMBER and numbers:
        return [Tell("numbers", least=numbers[0], largest=numbers[-1])]
    if event.kind is Kind.NUMBER:
        return [Tell("no number"), *_can(place, event)]
    return _can(place, event) if event.kind is Kind.UNSURE else []


# What means the same in every mode.
EVERYWHERE: dict[Kind, Rule] = {
    Kind.REPEAT: say_again,
    Kind.WHERE: where,
    Kind.HELP: help_out,
    **{kind: turned(knob) for kind, knob in TURNS.items()},
    Kind.NOTE: mark,
    Kind.UNCLEAR: unclear,
    Kind.SIT_DOWN: sit_down,
    Kind.LEAVE: leave,
    Kind.THREADED_BEFORE: begins_after,
    Kind.HEDDLES_COUNTED: heddles_known,
    Kind.CLOCK_SET: no_move,
    Kind.SLEPT: no_move,
    Kind.EDITED: on_as_edited,
}


def _in(*modes: type[Mode], do: Rule) -> dict[type[Mode], Rule]:
    return dict.fromkeys(modes, do)


# The rest, each pair that means something once; a pair that is not here means nothing.
TABLE: dict[Kind, dict[type[Mode], Rule]] = {
    Kind.NEXT: {
        Calling: call_done, Closing: even, Partway: as_before(no_part), LastCall: last_call_done,
        Off: as_before(left_off), Asking: all_told, Found: set_right, There: next_there,
        Sure: sure, Paused: wake, Complete: leave,
    },
    Kind.BACK: {
        Calling: call_before, Closing: last_call, Which: ask_even, Counting: ask_even, Partway: no_part,
        LastCall: back_to_call, **_in(Off, Complete, do=open_again), **_in(Asking, Found, do=question_before),
        Heddles: heddle_back, Passing: back_to_alarm, Going: stay, There: before_there, Sure: not_meant,
    },
    Kind.FINISHED: {Calling: used_up, LastCall: say_again, Closing: even, Paused: wake_and_act},
    Kind.UNEVEN: {
        **_in(Calling, LastCall, do=uneven_at_call), Closing: either(short_or_over, lies_otherwise), Which: say_again,
        **_in(Partway, Found, do=do_again), Off: look_or_redo, Sure: said_twice, Paused: wake_and_act,
        Complete: redo_off,
    },
    Kind.SHORT: {
        **_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many), Asking: heddles_lack,
    },
    Kind.OVER: {**_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many)},
    Kind.NUMBER: {
        **_in(Calling, Closing, do=number_read), Which: which, Counting: counted, Partway: part_of_call,
        LastCall: part_of_last_call, Heddles: heddles_told, Passing: threaded, Going: gone_to, Asking: answered,
        Found: choose,
    },
    Kind.READ: _in(Calling, Closing, do=row_read),
    Kind.REDO: {
        **_in(Calling, LastCall, Closing, Which, Counting, do=since(only_if(in_it, do_again))),
        **_in(Partway, Off, Asking, Found, There, do=do_again), Sure: said_twice, Complete: redo_off,
    },
    Kind.FIND: {
        Calling: since(mistake_at_call), Closing: since(either(look, lies_otherwise)),
        **_in(Partway, Off, Found, do=look), There: look_there, Asking: not_right, Complete: look_off,
    },
    Kind.UNSURE: {Asking: unsure, Sure: not_meant},
    Kind.SETTLE: {**_in(Partway, Off, Asking, Found, There, do=settle), Sure: said_twice, Complete: settle_off},
    Kind.HEDDLE_LEFT: {
        **_in(Calling, LastCall, do=heddle_off_at_call), **_in(Closing, Which, Off, do=heddle_off),
        Heddles: heddle_otherwise, Asking: heddles_asked,
    },
    Kind.HEDDLE_MISSING: {
        **_in(Calling, LastCall, do=heddle_off_at_call), **_in(Closing, Which, Off, do=heddle_off),
        Heddles: heddle_otherwise, Asking: heddles_lack,
    },
    Kind.PASS_ON: {Off: pass_on},
    Kind.GO_TO: _in(Calling, Closing, Partway, Off, Asking, Found, There, Complete, do=go_to),
    Kind.PAUSE: {**_in(*(mode for mode in MODES if mode not in (Paused, Complete)), do=pause), Paused: wake},
    Kind.RESUME: {
        **_in(*(mode for mode in MODES if mode not in (Off, Paused)), do=come_back), Off: left_off, Paused: wake,
    },
}  # fmt: skip


def find_rule(mode: Mode, kind: Kind) -> Rule | None:
    """The rule for an event in a mode; None where the event means nothing whatever the place."""
    return EVERYWHERE.get(kind) or TABLE[kind].get(type(mode))


def meant(place: Place, event: Event) -> Rule | None:
    """The rule for an event at a place; None where it means nothing there."""
    found = find_rule(place.mode, event.kind)
    return found if found and found.means(place, place.mode, event) else None


def follow(place: Place, event: Event) -> Done:
    """What an event does at a place."""
    found = meant(place, event)
    return found.does(place, place.mode, event) if found else not_now(place, place.mode, event, *_would(place, event))


def offers(place: Place) -> tuple[Kind, ...]:
    """The events that mean something at a place; a number there is any of `answers`."""
    return tuple(kind for kind in Kind if any(meant(place, event) for event in _examples(place, kind)))


def _examples(place: Place, kind: Kind) -> Iterable[Event]:
    """Events of a kind that tell whether any means something."""
    if kind is not Kind.NUMBER:
        return (Event(kind, 0.0),)
    return (Event(kind, 0.0, number) for number in answers(place, place.mode)[:1])
