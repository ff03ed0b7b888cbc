"""Random sessions: any events in any order, over small random warps, in every job.

python tests/random_sessions.py 20000

lives through so many sessions of 40 events each: nothing may be raised, a replay must give an equal value, and an event
must be refused just where it is not offered. `tests/session/test_rules.py` does the same with fewer.
"""

import random
import sys
from collections.abc import Iterator
from dataclasses import replace

from assistant.session.editing import compared
from assistant.session.events import Effect, Event, Kind, Origin, Sound, Tone
from assistant.session.machine import Session
from assistant.session.modes import Off, There
from assistant.session.place import Place
from assistant.session.rule import answers
from assistant.session.rules import follow, meant, offers
from assistant.session.telling import prompt
from assistant.warp.model import Hangs, Warp
from assistant.warp.passes import PASSES, Manner
from assistant.warp.sequence import loads

EVENTS = 40
THREADS = ("1", "1 3/4", "4..1", "1 2 3 4", "1 2 1 3", "2 1 1")
SLEYS = ("[1]", "[2]", "[2, 2, 3]", "[2, 0]", "[0, 1, 4]")
OFTEN = (Kind.NEXT, Kind.BACK, Kind.FINISHED, Kind.UNEVEN, Kind.SHORT, Kind.OVER, Kind.NUMBER, Kind.NUMBER, Kind.FIND)
KINDS = (*Kind, *[Kind.NEXT] * 6, *OFTEN)


def warp(chance: random.Random) -> Warp:
    """Of one to four groups, in one or two yarns."""
    groups = [
        f"{{thread: {chance.randint(1, 13)}({chance.choice(THREADS)}), "
        f"yarn: '{chance.choice(('flax', '2 flax, 1 rust'))}'}}"
        for _ in range(chance.randint(1, 4))
    ]
    head = f"title: Any, shafts: 4, reed: 10, yarns: {{flax: {{}}, rust: {{}}}}, sley: {chance.choice(SLEYS)}"
    return loads(f"{{{head}, groups: [{', '.join(groups)}]}}".encode(), "any.yaml")


def event(chance: random.Random, at: float, place: Place) -> Event:
    """Any event; where rows are read, often the row that lies there."""
    kind, number = chance.choice(KINDS), None
    row: tuple[int, ...] = ()
    if place.course.job.manner is Manner.READ and chance.random() < 0.5:
        kind = Kind.READ
    if isinstance(place.mode, Off) and chance.random() < 0.2:
        kind = Kind.PASS_ON  # which seldom means anything
    if kind in (Kind.NUMBER, Kind.SHORT, Kind.OVER) and (kind is Kind.NUMBER or chance.random() < 0.5):
        number = chance.randint(0, 15)
    if kind in (Kind.GO_TO, Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING, Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED):
        number = chance.choice((None, chance.randint(0, 5)))
    if kind is Kind.SIT_DOWN:
        number = chance.choice((None, chance.randint(1, 10)))
    if kind in (Kind.CLOCK_SET, Kind.SLEPT):
        number = chance.choice((60, 3600, *((-3600, -2_000_000_000) if kind is Kind.CLOCK_SET else ())))
    if kind is Kind.READ:
        row = _read(chance, place)
    if kind is Kind.EDITED:
        edit = replace(compared(place, warp(chance)), hangs=chance.choice(list(Hangs)))
        return Event(kind, at, about=edit)
    return Event(kind, at, number, chance.choice(("key", "pedal", Origin.VOICE, Origin.CLOCK)), row)


def _read(chance: random.Random, place: Place) -> tuple[int, ...]:
    lying = place.course.expected(place.group)[place.here.counted :][: chance.randint(1, 4)]
    right = tuple(shaft for end in lying for shaft in end)
    return right if right and chance.random() < 0.8 else tuple(chance.randint(1, 5) for _ in range(3))


def lived(seed: int) -> Iterator[tuple[Session, Event, list[Effect]]]:
    """A session, with each event that came and what it did; `seed` makes it."""
    chance = random.Random(seed)
    begun = replace(warp(chance), call_from="centre" if seed % 2 else None)
    session = Session(begun, chance.choice(list(PASSES.values())))
    at = 0.0
    yield session, (first := Event(Kind.SIT_DOWN, at)), session.handle(first)
    for _ in range(EVENTS - 1):
        at += chance.choice((1.0, 10.0, 120.0, 1000.0))
        came = event(chance, at, session.place)
        yield session, came, session.handle(came)


def questions(place: Place) -> Iterator[Event]:
    """One event of every kind, and numbers around all that may be answered."""
    for kind in Kind:
        if kind is Kind.NUMBER:
            numbers = answers(place, place.mode)
            yield from (Event(kind, 0.0, n) for n in {0, 1, *numbers[:1], *numbers[-1:], len(numbers), 9999} if n >= 0)
        else:
            yield Event(kind, 0.0, row=(1,) if kind is Kind.READ else ())


def check_offers(place: Place) -> None:
    """What is offered is accepted, and what is not is refused and changes nothing."""
    offered, numbers = offers(place), answers(place, place.mode)
    for each in questions(place):
        within = each.kind is not Kind.NUMBER or each.number in numbers
        expected = each.kind in offered and within
        assert (meant(place, each) is not None) == expected, (place.mode, each)


def check_refused(before: Place, session: Session, came: Event, effects: list[Effect]) -> None:
    """An event that means nothing moves nothing, sounds the tone, and tells what would mean something."""
    if meant(before, came):
        return
    after = session.place
    assert (after.groups, after.group, after.mode) == (before.groups, before.group, before.mode)
    assert effects[0] == Sound(Tone.UNCLEAR)
    assert effects[-1] == prompt(after)[-1]


def check_home(place: Place) -> None:
    """From a look at any group one comes back to where one was, and nothing is changed."""
    going = Event(Kind.GO_TO, 0.0, 1 + place.done % len(place.groups))
    if not meant(place, going):
        return
    after = follow(place, going)[0]
    assert isinstance(after.mode, There)
    for kind in (Kind.NEXT, Kind.BACK, Kind.REPEAT):
        looked = follow(after, Event(kind, 0.0))[0]
        after = looked if looked.home else after
    home = follow(after, Event(Kind.RESUME, 0.0))[0]
    if not place.home:
        assert home == place, (place.mode, home.mode)
    assert home.groups == place.groups


def live(seed: int, *, closely: bool) -> None:
    """One session, checked at its end, and `closely` at every step."""
    events: list[Event] = []
    before: Place | None = None
    session = begun = None
    for session, came, effects in lived(seed):
        if closely:
            if before:
                check_refused(before, session, came, effects)
            check_offers(session.place)
            check_home(session.place)
        begun = begun or session.warp
        events.append(came)
        before = session.place
    assert session is not None
    assert begun is not None
    again = Session(begun, session.job)
    again.replay(events)
    assert again.place == session.place, seed
    check_offers(session.place)


def main() -> None:
    sessions = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    for seed in range(sessions):
        live(seed, closely=seed % 10 == 0)
    print(f"{sessions:,} sessions of {EVENTS} events: nothing raised, every replay equal, nothing offered and refused")


if __name__ == "__main__":
    main()
