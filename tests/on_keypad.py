"""A weaver who has a numeric keypad and nothing else.

python tests/on_keypad.py 2000

presses, in so many random sessions, after every event all that means something: each has to be that event and no
other. It tells which pairs of the table of rules it came to. `tests/session/test_keypad_alone.py` presses fewer.
"""

import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from random_sessions import lived

from assistant.senses.pedal.keys import ONE_DIGIT, Keyboard
from assistant.session.events import NOT_BY_HAND, Event, Kind
from assistant.session.machine import Session
from assistant.session.modes import ModeName
from assistant.session.rule import answers
from assistant.session.rules import EVERYWHERE, TABLE, offers
from assistant.words.keypad import PAD, POINTS, keys_for, one_by_one

APART_S = 0.9  # between two keys: digits so near are one number
DONE_S = 3.0  # after the last key of what is meant
UNLOCKED: Mapping[str, str] = {key.name: key.unlocked for key in PAD if key.unlocked}


class OnKeypad:
    """Presses keys while a session stands somewhere; the events that come of them."""

    def __init__(self, unlocked: bool = False) -> None:
        """`unlocked`: without Num Lock, in a terminal that does not tell a keypad from arrows and page keys."""
        self.keyboard, self.at = Keyboard(), 1000.0
        self._unlocked = unlocked

    def press(self, session: Session, *keys: str) -> list[Event]:
        """These keys, one after the other; the session is not given what comes of them."""
        reads = session.largest_number if session.reads else 0
        return self.typed(session.largest_number > 0 and not reads, reads, keys)

    def typed(self, asked: bool, shafts: int, keys: Sequence[str]) -> list[Event]:
        """What comes of keys where a number is asked for, or ends on shafts up to this one are read."""
        self.keyboard.counting(asked)
        self.keyboard.reading(shafts)
        events = []
        for key in keys:
            self.at += APART_S
            events += self.keyboard.press(UNLOCKED.get(key, key) if self._unlocked else key, self.at)
        self.at += DONE_S
        return events + self.keyboard.at(self.at)

    def means(self, session: Session, kind: Kind, number: int | None = None) -> list[Event]:
        """What is pressed to say this."""
        return self.press(session, *keys(session, kind, number))


def keys(session: Session, kind: Kind, number: int | None = None) -> Sequence[str]:
    """The keys that say this; a number as it is typed where the session stands."""
    if kind is not Kind.NUMBER:
        return one_by_one(keys_for(kind)[0])
    ends = [] if session.reads and session.largest_number <= ONE_DIGIT else [POINTS[0] if session.reads else "enter"]
    return [*str(number), *ends]


def by_hand(session: Session) -> Iterator[tuple[Kind, int | None]]:
    """All that means something, numbers at their ends and in the middle."""
    place = session.place
    for kind in offers(place):
        if kind is Kind.NUMBER:
            numbers = answers(place, place.mode)
            yield from ((kind, number) for number in {numbers[0], numbers[len(numbers) // 2], numbers[-1]})
        elif kind not in NOT_BY_HAND:
            yield kind, None


def pairs() -> set[tuple[Kind, ModeName]]:
    """Of the whole table of rules, without what no hand does and what only older records hold."""
    modes = {mode.name: mode for row in TABLE.values() for mode in row}
    ruled = {(kind, name) for kind, row in TABLE.items() for name, mode in modes.items() if mode in row}
    ruled |= {(kind, name) for kind in EVERYWHERE for name in ModeName}
    of_older_records = {(Kind.NEXT, ModeName.OFF), (Kind.NEXT, ModeName.PARTWAY)}
    return {pair for pair in ruled - of_older_records if pair[0] not in NOT_BY_HAND}


def main() -> None:
    sessions = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    met = Counter[tuple[Kind, ModeName]]()
    for seed in range(sessions):
        pads = OnKeypad(), OnKeypad(unlocked=True)
        for session, _, _ in lived(seed):
            for kind, number in by_hand(session):
                met[kind, session.mode] += 1
                for pad in pads:
                    told = [(event.kind, event.number) for event in pad.means(session, kind, number)]
                    assert told == [(kind, number)], (seed, session.mode, kind, told)
    unmet = [f"{kind} in {mode}" for kind, mode in sorted(pairs() - {*met})]
    print(f"{sessions:,} sessions, {met.total():,} pressed with Num Lock and without: each was what it was to be")
    print(
        f"{len(pairs()) - len(unmet)} of {len(pairs())} pairs of the table; not come to: {', '.join(unmet) or 'none'}"
    )


if __name__ == "__main__":
    main()
