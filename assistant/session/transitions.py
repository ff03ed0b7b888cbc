"""What each event does in each mode: the rules, and below them the whole table.

A rule moves the place and returns the effects. Everything that changes a session happens here.
"""

from collections.abc import Callable
from dataclasses import replace

from assistant.finder import Ask, Way
from assistant.finder import Outcome as Search
from assistant.readback import AskAgain, Difference, Good, Judgement, Reading
from assistant.session.events import (
    CLOCK,
    NOT_LOOKED_FOR,
    VOICE,
    Adjust,
    Effect,
    Event,
    Kind,
    Part,
    Say,
    Sound,
    Stop,
    Tone,
)
from assistant.session.place import Place
from assistant.session.view import GroupState, Mode
from assistant.session.wording import Wording
from assistant.warp.passes import Manner

Rule = Callable[[Place, Event, Wording], list[Effect]]

SHORT, OVER = 1, 2  # the numbers that answer "short or over?"
MOST_OVER = 999  # ends left over that anyone would count
MOST_ASKED = 5  # times the same ends are asked for again before the weaver is sent to look


def _ask(place: Place, words: Wording, *before: Part, tone: Tone | None = None) -> list[Effect]:
    """Sound the tone, say what is to be said before, then what the weaver is waited for to do."""
    sound: list[Effect] = [Sound(tone)] if tone else []
    return [*sound, Say((*before, *words.prompt(place)))]


def say_again(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _ask(place, words)


def not_now(place: Place, event: Event, words: Wording) -> list[Effect]:
    """Ignored: the event means nothing in this mode; the weaver is told what would."""
    return _ask(place, words, tone=Tone.UNCLEAR)


def unclear(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Sound(Tone.UNCLEAR)]


def call_done(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.job.manner is Manner.READ:
        return read_to_the_end(place, event, words)
    if place.job.manner is Manner.STEADY and event.source != CLOCK:
        return differs(place, event, words)
    place.acknowledge()
    if place.job.manner is Manner.STEADY and place.mode is Mode.CLOSING:
        return even(place, event, words)
    return _ask(place, words)


def differs(place: Place, event: Event, words: Wording) -> list[Effect]:
    """The ends ran out inside a group, or something in it is not as called: how far was it right?"""
    place.close(place.here.counted, GroupState.OFF)
    place.mode = Mode.PARTWAY
    return _ask(place, words, tone=Tone.OFF)


def call_before(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.here.counted:
        place.step_back()
        return _ask(place, words)
    if place.group:
        return _reopen(place, words, place.group - 1)
    return _ask(place, words, words.first_call(), tone=Tone.UNCLEAR)


def last_call(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.step_back()
    return _ask(place, words)


def _reopen(place: Place, words: Wording, group: int) -> list[Effect]:
    place.reopen(group)
    return _ask(place, words, words.reopened(place))


def reopened(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _reopen(place, words, place.group)


def used_up(place: Place, event: Event, words: Wording) -> list[Effect]:
    """With the last call out the group is ready to close; before that it has come out short."""
    if place.job.manner is Manner.READ or (not place.job.compares and place.at_last_call()):
        return call_done(place, event, words)
    return differs(place, event, words)


def uneven_at_call(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.job.compares or not place.at_last_call():
        return used_up(place, event, words)
    place.acknowledge()
    return short_or_over(place, event, words)


def count_at_call(place: Place, event: Event, words: Wording) -> list[Effect]:
    """Short or over said while the last call is out closes the group; before that it says nothing."""
    if place.job.compares or not place.at_last_call():
        return not_now(place, event, words)
    place.acknowledge()
    return how_many(place, event, words)


def number_read(place: Place, event: Event, words: Wording) -> list[Effect]:
    """A number typed, or said on its own, where rows are read."""
    return row_read(place, replace(event, row=(event.number or 0,)), words)


def row_read(place: Place, event: Event, words: Wording) -> list[Effect]:
    """Shafts were read aloud: on in silence while they are as expected."""
    if place.job.manner is not Manner.READ or not all(0 < shaft <= place.warp.loom.shafts for shaft in event.row):
        return not_now(place, event, words)
    return _judged(place, words, *place.read().hear(event.row))


def read_to_the_end(place: Place, event: Event, words: Wording) -> list[Effect]:
    """The weaver finds no further end in the group."""
    return _judged(place, words, *place.read().finish())


def _judged(place: Place, words: Wording, reading: Reading, outcome: Judgement) -> list[Effect]:
    place.confirm(reading)
    match outcome:
        case Good():
            return _checked(place, words) if reading.checked else []
        case AskAgain() if place.asked < MOST_ASKED:
            return [Sound(Tone.UNCLEAR), Say((words.read_again(outcome),))]
        case AskAgain() | Difference():
            place.differs_from(outcome)
            return _ask(place, words, tone=Tone.OFF)


def _checked(place: Place, words: Wording) -> list[Effect]:
    place.close(place.size, GroupState.EVEN)
    place.go_on()
    return _ask(place, words, tone=Tone.EVEN)


def even(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.job.manner is Manner.READ:
        return read_to_the_end(place, event, words)
    return _checked(place, words)


def short_or_over(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.job.compares:
        return not_now(place, event, words)
    place.mode = Mode.WHICH
    return _ask(place, words)


def which(place: Place, event: Event, words: Wording) -> list[Effect]:
    if event.number not in (SHORT, OVER):
        return not_now(place, event, words)
    place.missing = event.number == SHORT
    place.mode = Mode.COUNTING
    return _ask(place, words)


def how_many(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.job.compares:
        return not_now(place, event, words)
    place.missing = event.kind is Kind.SHORT
    place.mode = Mode.COUNTING
    return _ask(place, words) if event.number is None else counted(place, event, words)


def counted(place: Place, event: Event, words: Wording) -> list[Effect]:
    number = event.number or 0
    if number > largest_answer(place):
        return not_now(place, event, words)
    if not number:
        return ask_even(place, event, words)
    place.close(place.size + (-number if place.missing else number), GroupState.OFF)
    place.mode = Mode.OFF
    return _ask(place, words, tone=Tone.OFF)


def ask_even(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.mode = Mode.CLOSING
    return _ask(place, words)


def part_of_call(place: Place, event: Event, words: Wording) -> list[Effect]:
    """The ends ran out inside a call: the number says how many of its ends were threaded."""
    number = event.number or 0
    if number > largest_answer(place):
        return not_now(place, event, words)
    place.here.counted += number
    return no_part(place, event, words)


def no_part(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.mode = Mode.OFF
    return _ask(place, words)


def left_off(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.go_on()
    return _ask(place, words)


def sure_first(rule: Rule) -> Rule:
    """Ask whether it is meant, where it was only heard."""

    def rule_when_sure(place: Place, event: Event, words: Wording) -> list[Effect]:
        if event.source == VOICE and place.ask_whether(event.kind):
            return _ask(place, words)
        return rule(place, event, words)

    return rule_when_sure


def sure(place: Place, event: Event, words: Wording) -> list[Effect]:
    kind = place.take_back()
    return rule_for(place.mode, kind)(place, replace(event, kind=kind, source=""), words)


def said_twice(place: Place, event: Event, words: Wording) -> list[Effect]:
    meant = place.wish is not None and place.wish.kind is event.kind
    return (sure if meant else not_now)(place, event, words)


def not_meant(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.take_back()
    return _ask(place, words)


@sure_first
def do_again(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.restart()
    return _ask(place, words)


@sure_first
def settled(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _settle(place, words)


def _settle(place: Place, words: Wording) -> list[Effect]:
    place.here.state = GroupState.SETTLED
    said = words.settled(place)
    place.go_on()
    return _ask(place, words, said)


def look(place: Place, event: Event, words: Wording) -> list[Effect]:
    """Look for the mistake in the group in hand."""
    return _looked(place, words) if place.begin_look() else not_now(place, event, words)


def _looked(place: Place, words: Wording) -> list[Effect]:
    """Ask on, or say what came out."""
    verdict = place.looking.verdict
    if verdict is None:
        place.mode = Mode.ASKING
        return _ask(place, words)
    if verdict.outcome is Search.FOUND:
        place.mode = Mode.FOUND
        return _ask(place, words, tone=Tone.EVEN)
    return _give_up(place, words, words.not_found(place))


def _give_up(place: Place, words: Wording, *before: Part) -> list[Effect]:
    place.look, place.mode = None, Mode.OFF
    return _ask(place, words, *before)


def answered(place: Place, event: Event, words: Wording) -> list[Effect]:
    number = event.number or 0
    if number > largest_answer(place):
        return not_now(place, event, words)
    place.look = place.looking.number(number)
    return _looked(place, words)


def all_told(place: Place, event: Event, words: Wording) -> list[Effect]:
    """The end asked about is on no further shaft."""
    if not place.looking.told:
        return not_now(place, event, words)
    place.look = place.looking.no_more()
    return _looked(place, words)


def unsure(place: Place, event: Event, words: Wording) -> list[Effect]:
    question = place.looking.question
    if question is not None and question.ask is Ask.HEDDLES:
        place.heddles_counted = False
    place.look = place.looking.not_sure()
    return _looked(place, words)


def heddles_lack(place: Place, event: Event, words: Wording) -> list[Effect]:
    question = place.looking.question
    if question is None or question.ask is not Ask.HEDDLES:
        return not_now(place, event, words)
    place.look = place.looking.lacking()
    return _ask(place, words) if event.number is None else answered(place, event, words)


def question_before(place: Place, event: Event, words: Wording) -> list[Effect]:
    before = place.looking.back()
    if before is None:
        return _give_up(place, words)
    place.look = before
    return _looked(place, words)


def set_right(place: Place, event: Event, words: Wording) -> list[Effect]:
    """The weaver does what was said; where only the count was wrong, the group is settled."""
    verdict = place.looking.verdict
    if verdict is None or verdict.hypothesis is None or verdict.hypothesis.repair.way is Way.NOTHING:
        return _settle(place, words)
    place.set_right(verdict.hypothesis.repair)
    return _ask(place, words)


def look_or_redo(place: Place, event: Event, words: Wording) -> list[Effect]:
    """One gesture of the foot: look for the mistake where that can be, else do the group again."""
    looks = place.can_look and not event.source.endswith(NOT_LOOKED_FOR)
    return (look if looks else do_again)(place, event, words)


def look_off(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _at_first_off(look, place, event, words)


@sure_first
def redo_off(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _at_first_off(do_again, place, event, words)


@sure_first
def settle_off(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _at_first_off(settled, place, event, words)


def _at_first_off(rule: Rule, place: Place, event: Event, words: Wording) -> list[Effect]:
    off = place.first_off()
    if off is None:
        return not_now(place, event, words)
    place.group = off
    return rule(place, event, words)


def pause(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.paused_in, place.mode = place.mode, Mode.PAUSED
    return _ask(place, words)


def wake(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.mode = place.paused_in
    return _ask(place, words)


def wake_and_act(place: Place, event: Event, words: Wording) -> list[Effect]:
    place.mode = place.paused_in
    return rule_for(place.mode, event.kind)(place, event, words)


def where(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Say(words.where(place))]


def sit_down(place: Place, event: Event, words: Wording) -> list[Effect]:
    if place.mode is Mode.PAUSED:
        place.mode = place.paused_in
    if event.number:
        place.cut_calls(event.number)
    place.sittings += 1
    return _ask(place, words, *(words.welcome(place) if place.sittings == 1 else words.welcome_back(place)))


def marked(place: Place, event: Event, words: Wording) -> list[Effect]:
    return _ask(place, words, words.marked(place))


def leave(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Say(words.saved(place)), Stop()]


def louder(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Adjust("volume", 1), *_ask(place, words)]


def quieter(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Adjust("volume", -1), *_ask(place, words)]


def faster(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Adjust("speed", 1), *_ask(place, words)]


def slower(place: Place, event: Event, words: Wording) -> list[Effect]:
    return [Adjust("speed", -1), *_ask(place, words)]


MODES = (
    *(Mode.CALLING, Mode.CLOSING, Mode.WHICH, Mode.COUNTING, Mode.PARTWAY, Mode.OFF),
    *(Mode.ASKING, Mode.FOUND, Mode.SURE, Mode.PAUSED, Mode.FINISHED),
)

TABLE: dict[Kind, tuple[Rule, ...]] = {
    # event         calling         closing        which      counting   partway       off           asking           found            sure        paused        finished
    Kind.NEXT:     (call_done,      even,          not_now,   not_now,   no_part,      left_off,     all_told,        set_right,       sure,       wake,         leave),
    Kind.REPEAT:   (say_again,      say_again,     say_again, say_again, say_again,    say_again,    say_again,       say_again,       say_again,  say_again,    say_again),
    Kind.BACK:     (call_before,    last_call,     ask_even,  ask_even,  no_part,      reopened,     question_before, question_before, not_meant,  not_now,      reopened),
    Kind.DONE:     (used_up,        even,          not_now,   not_now,   not_now,      not_now,      not_now,         not_now,         not_now,    wake_and_act, not_now),
    Kind.UNEVEN:   (uneven_at_call, short_or_over, say_again, not_now,   do_again,     look_or_redo, not_now,         do_again,        said_twice, wake_and_act, redo_off),
    Kind.SHORT:    (count_at_call,  how_many,      how_many,  how_many,  not_now,      not_now,      heddles_lack,    not_now,         not_now,    not_now,      not_now),
    Kind.OVER:     (count_at_call,  how_many,      how_many,  how_many,  not_now,      not_now,      not_now,         not_now,         not_now,    not_now,      not_now),
    Kind.NUMBER:   (number_read,    number_read,   which,     counted,   part_of_call, not_now,      answered,        not_now,         not_now,    not_now,      not_now),
    Kind.READ:     (row_read,       row_read,      not_now,   not_now,   not_now,      not_now,      not_now,         not_now,         not_now,    not_now,      not_now),
    Kind.REDO:     (not_now,        not_now,       not_now,   not_now,   do_again,     do_again,     do_again,        do_again,        said_twice, not_now,      redo_off),
    Kind.FIND:     (not_now,        not_now,       not_now,   not_now,   look,         look,         say_again,       look,            not_now,    not_now,      look_off),
    Kind.UNSURE:   (not_now,        not_now,       not_now,   not_now,   not_now,      not_now,      unsure,          not_now,         not_meant,  not_now,      not_now),
    Kind.SETTLE:   (not_now,        not_now,       not_now,   not_now,   settled,      settled,      settled,         settled,         said_twice, not_now,      settle_off),
    Kind.PAUSE:    (pause,          pause,         pause,     pause,     pause,        pause,        pause,           pause,           pause,      wake,         not_now),
    Kind.RESUME:   (say_again,      say_again,     say_again, say_again, say_again,    say_again,    say_again,       say_again,       say_again,  wake,         say_again),
    Kind.WHERE:    (where,          where,         where,     where,     where,        where,        where,           where,           where,      where,        where),
    Kind.LOUDER:   (louder,         louder,        louder,    louder,    louder,       louder,       louder,          louder,          louder,     louder,       louder),
    Kind.QUIETER:  (quieter,        quieter,       quieter,   quieter,   quieter,      quieter,      quieter,         quieter,         quieter,    quieter,      quieter),
    Kind.FASTER:   (faster,         faster,        faster,    faster,    faster,       faster,       faster,          faster,          faster,     faster,       faster),
    Kind.SLOWER:   (slower,         slower,        slower,    slower,    slower,       slower,       slower,          slower,          slower,     slower,       slower),
    Kind.NOTE:     (marked,         marked,        marked,    marked,    marked,       marked,       marked,          marked,          marked,     marked,       marked),
    Kind.UNCLEAR:  (unclear,        unclear,       unclear,   unclear,   unclear,      unclear,      unclear,         unclear,         unclear,    unclear,      unclear),
    Kind.SIT_DOWN: (sit_down,       sit_down,      sit_down,  sit_down,  sit_down,     sit_down,     sit_down,        sit_down,        sit_down,   sit_down,     sit_down),
    Kind.LEAVE:    (leave,          leave,         leave,     leave,     leave,        leave,        leave,           leave,           leave,      leave,        leave),
}  # fmt: skip


def largest_answer(place: Place) -> int:
    """The largest number that may answer what is asked in this mode; 0 where none is."""
    match place.mode:
        case Mode.WHICH:
            return OVER
        case Mode.COUNTING:
            return place.size if place.missing else MOST_OVER
        case Mode.PARTWAY:
            return min(len(place.call().units), place.size - 1 - place.here.counted)
        case Mode.ASKING:
            return place.looking.largest
        case _:
            return 0


def rule_for(mode: Mode, kind: Kind) -> Rule:
    """The rule for an event in a mode."""
    return TABLE[kind][MODES.index(mode)]


def offers(place: Place) -> tuple[Kind, ...]:
    """The events that mean something where the session stands."""
    return tuple(kind for kind in TABLE if _means(place, kind, rule_for(place.mode, kind)))


def _means(place: Place, kind: Kind, rule: Rule) -> bool:
    if rule is count_at_call:
        return not place.job.compares and place.at_last_call()
    if rule in (how_many, short_or_over):
        return not place.job.compares
    if rule is said_twice:
        return place.wish is not None and place.wish.kind is kind
    if rule in (look_off, redo_off, settle_off) and place.first_off() is None:
        return False
    if rule in (look, look_off):
        return place.can_look
    return rule is not not_now
