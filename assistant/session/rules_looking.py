"""The mistake is looked for by questions, and set right."""

from dataclasses import replace

from assistant.finder import Ask, Look, Outcome, Question, Repair, Way
from assistant.finder.reed import ReedAsk, ReedQuestion
from assistant.finder.reed_look import ReedLook
from assistant.meaning import Tell
from assistant.session.events import NOT_LOOKED_FOR, About, Effect, Event, Kind, Sound, Tone
from assistant.session.modes import AnyLook, Asking, Closing, Complete, Found, Looking, Mode, Off, Paused, Sure, There
from assistant.session.place import Place
from assistant.session.rule import Done, Telling, always, answers, asks, is_an_answer, rule
from assistant.session.rules_closing import anything_off, at_first_off, closed_settled, do_again, left_off
from assistant.session.view import GroupState


def _can_look(place: Place, mode: Mode, event: Event) -> bool:
    """Mistakes are looked for in this job, and were when the event was kept."""
    return place.can_look and NOT_LOOKED_FOR not in event.source


@rule(_can_look)
def look(place: Place, mode: Mode, event: Event) -> Done:
    """Look for the mistake in the group in hand."""
    match mode:
        case Closing() | There():
            back: Mode = mode
        case Asking() | Found():
            back = mode.back
        case _:
            back = Off()
    return looked(place, place.begin_search(event.as_before), back)


@rule(anything_off)
def look_off(place: Place, mode: Complete, event: Event) -> Done:
    """To the first group off, and look for its mistake in a job that has a way to."""
    there = at_first_off(place)
    return looked(there, there.begin_search(event.as_before), Off()) if _can_look(there, mode, event) else asks(there)


@rule(always)
def look_or_redo(place: Place, mode: Off, event: Event) -> Done:
    """One gesture of the foot: look for the mistake where that can be, else do the group again."""
    return (look if _can_look(place, mode, event) else do_again).does(place, mode, event)


def looked(place: Place, look: AnyLook, back: Mode, *before: Effect | Telling) -> Done:
    """What comes of it is worked out by `come_of`, once it is wanted; the search was begun in the mode `back`."""
    return place.to(Looking(look, back)), list(before)


def come_of(place: Place) -> Done:
    """Where a search was begun, or was told something: ask on, or say what came out."""
    if not isinstance(place.mode, Looking):
        return place, []
    look, back = place.mode.look.asking(None), place.mode.back
    if look.verdict is None:
        return asks(place.to(Asking(look, back)))
    if look.leads_on:
        return asks(place.to(Found(look, back)), Sound(Tone.EVEN))
    return asks(_in_vain(place, back), Tell("not found", group=place.name))


def _in_vain(place: Place, back: Mode) -> Place:
    """A search that was begun in the mode `back` led to nothing."""
    return place.to(Off(searched=True) if isinstance(back, Off) else back)


def about(mode: Mode, event: Event) -> About | None:
    """What of a search an event finds in this mode, or chooses by its number; it is kept with the event."""
    match mode:
        case Asking(look):
            return look.question
        case Found(look, chosen=chosen):
            number = (event.number or 0) - 1 if event.kind is Kind.NUMBER else chosen or 0
            return look.choices[number].repair if 0 <= number < len(look.choices) else None
        case Off(searched=True):
            return Outcome.UNDECIDED
        case _:
            return None


def as_it_stood(place: Place, event: Event) -> Place:
    """The place an event found: what of a search is kept with it counts, whatever would be asked or found now."""
    if not isinstance(place.mode, Looking | Asking | Found):
        return place
    look, back = place.mode.look, place.mode.back
    match event.about:
        case Question() if isinstance(look, Look) and look.can_ask(event.about):
            return place.to(Asking(look.asking(event.about), back))
        case ReedQuestion() if isinstance(look, ReedLook) and look.can_ask(event.about):
            return place.to(Asking(look.asking(event.about), back))
        case Repair(way, first, _, threaded) if way is Way.NOTHING or 0 < first <= first + threaded <= place.size + 1:
            return place if isinstance(place.mode, Found) else place.to(Found(look, back))
        case Outcome():
            return _in_vain(place, back)
        case _:
            return come_of(place)[0]


def taken_up(place: Place) -> Place:
    """The place after past events: a search under way goes on from what it was told, whatever was asked next then."""
    match place.mode:
        case Paused(back):
            woken = taken_up(place.to(back))
            return woken.to(Paused(woken.mode))
        case Sure(kind, back, group):
            before = taken_up(place.to(back))
            return before.to(Sure(kind, before.mode, group))
        case Found(look, back, chosen):
            again = come_of(place.to(Looking(look, back)))[0]
            return again.to(replace(again.mode, chosen=chosen)) if isinstance(again.mode, Found) else again
        case Asking(look, back) | Looking(look, back):
            return come_of(place.to(Looking(look, back)))[0]
        case _:
            return place


@rule(is_an_answer)
def answered(place: Place, mode: Asking, event: Event) -> Done:
    return looked(place, mode.look.number(event.number or 0), mode.back)


def _of_all(look: AnyLook) -> bool:
    return look.question is not None and look.question.ask in (Ask.RIGHT_UP_TO, ReedAsk.ALONG)


@rule(lambda place, mode, event: bool(mode.look.told) or _of_all(mode.look))
def all_told(place: Place, mode: Asking, event: Event) -> Done:
    """The end asked about is on no further shaft."""
    right = mode.look.right_so_far(True) if _of_all(mode.look) else mode.look.no_more()
    return looked(place, right, mode.back)


def _all_are_asked(place: Place, mode: Asking, event: Event) -> bool:
    return _of_all(mode.look)


@rule(_all_are_asked)
def not_right(place: Place, mode: Asking, event: Event) -> Done:
    """A mistake among the ends asked about."""
    return looked(place, mode.look.right_so_far(False), mode.back)


def _of_heddles(look: AnyLook) -> bool:
    return look.question is not None and look.question.ask is Ask.HEDDLES


@rule(always)
def unsure(place: Place, mode: Asking, event: Event) -> Done:
    known = replace(place, heddles_counted=place.heddles_counted and not _of_heddles(mode.look))
    return looked(known, mode.look.not_sure(), mode.back)


@rule(lambda place, mode, event: _of_heddles(mode.look))
def heddles_lack(place: Place, mode: Asking, event: Event) -> Done:
    assert isinstance(mode.look, Look)
    lacking = mode.look.lacking()
    if event.number is None or event.number not in answers(place, mode):
        return asks(place.to(Asking(lacking, mode.back)))
    return looked(place, lacking.number(event.number), mode.back)


@rule(lambda place, mode, event: _of_heddles(mode.look))
def heddles_asked(place: Place, mode: Asking, event: Event) -> Done:
    return asks(place)


@rule(always)
def question_before(place: Place, mode: Asking | Found, event: Event) -> Done:
    before = mode.look.back()
    return asks(place.to(mode.back)) if before is None else looked(place, before, mode.back)


@rule(lambda place, mode, event: isinstance(event.about, Repair) or is_an_answer(place, mode, event))
def choose(place: Place, mode: Found, event: Event) -> Done:
    """Of the ways to set it right the one of this number is told."""
    return asks(place.to(replace(mode, chosen=(event.number or 0) - 1)))


@rule(always)
def set_right(place: Place, mode: Found, event: Event) -> Done:
    """The weaver does what was said; where only the count was wrong, a group marked off is settled, or left marked."""
    repair = event.about or about(mode, event)
    marked_off = place.here.state is GroupState.OFF
    if not isinstance(repair, Repair) or repair.way is Way.NOTHING:
        return closed_settled(place) if marked_off else asks(place.to(mode.back))
    if repair.way is Way.LEAVE:
        return left_off.does(place, Off(), event) if marked_off else asks(place.to(mode.back))
    return asks(place.set_right(repair))
