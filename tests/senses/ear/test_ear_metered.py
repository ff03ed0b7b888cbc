"""When a fault of the microphone is told, and when it is spoken of."""

import numpy as np
import pytest
from said import Sound, echoing, pause, room, word

from assistant.senses.ear.listener import Heard, Listener, Metered
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.room import GRAVE, LESSON, WELL, SoundFault
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Kind
from assistant.words.language import load

pytest.importorskip("hibari")

QUIET = room(pause(1))
SAID = ("next", "repeat", "previous", "position", "finished", "restart")


def told(*sounds: Sound) -> list[tuple[SoundFault | None, str]]:
    """What is told of faults in these, one after the other."""
    notes: list[tuple[SoundFault | None, str]] = []
    metered = Metered(Listener(open_engine(load("en"))), lambda fault, phrase: notes.append((fault, phrase)))
    sound = np.concatenate(sounds)
    for at in range(0, len(sound), 480):
        metered.listen(sound[at : at + 480], False)
    return notes


def test_a_microphone_that_goes_dead_is_told_every_time_and_so_is_its_return() -> None:
    lost, back = (SoundFault.DEAD, "microphone dead"), (None, WELL)
    assert told(QUIET, pause(5), QUIET, QUIET, pause(5), QUIET, QUIET) == [lost, back, lost, back]


def test_a_loud_voice_is_spoken_of_once() -> None:
    shout = sixteen_bits(word("repeat").astype(float) * 20, FULL_SCALE)
    shouting = np.concatenate([QUIET, shout, QUIET, shout, QUIET])
    notes = told(shouting, np.tile(QUIET, 35), shouting)
    assert notes == [(SoundFault.CLIPPED, "microphone clipped"), (None, ""), (SoundFault.CLIPPED, "")]


def test_a_lesson_is_offered_once_where_words_are_often_missed() -> None:
    """A word a second, by an ear that understands only some."""

    class Hard(Listener):
        def listen(self, block: Sound, closed: bool) -> list[Heard]:
            return [Heard(next(understood), "", None, 1, 0, 0.5, 0.7)]  # always the first second's

    notes: list[tuple[SoundFault | None, str]] = []
    missed, heard = [None] * 3, [Kind.NEXT] * 6
    for grave, expected in (
        (GRAVE | LESSON, [(SoundFault.MISHEARD, "lesson offered"), (None, ""), (SoundFault.MISHEARD, "")]),
        (GRAVE, []),
    ):
        understood = iter([*missed, *heard, *missed, *missed])
        notes.clear()
        hard = Hard(open_engine(load("en")))
        metered = Metered(hard, lambda fault, phrase: notes.append((fault, phrase)), grave)
        for _ in range(15):
            metered.listen(room(pause(1)), False)
        assert notes == expected


def test_what_is_heard_is_counted_into_the_room() -> None:
    metered = Metered(Listener(open_engine(load("en"))))
    heard = metered.listen(np.concatenate([QUIET, word("next"), QUIET]), False)
    metered.listen(np.tile(QUIET, 2), False)
    assert [each.word for each in heard] == ["next"]
    assert (metered.measures.heard, metered.measures.unclear) == (1, 0)
    assert metered.measures.seconds == pytest.approx((4 * EAR_RATE + len(word("next"))) / EAR_RATE, abs=0.1)


def test_the_echo_of_the_room_is_told_by_the_words_heard_in_it() -> None:
    said = np.concatenate([pause(2), *(part for each in SAID for part in (word(each), pause(1.5)))])
    notes: list[tuple[SoundFault | None, str]] = []
    metered = Metered(Listener(open_engine(load("en"))), lambda fault, phrase: notes.append((fault, phrase)))
    sound = room(echoing(said, 0.8, -3))
    for at in range(0, len(sound), 480):
        metered.listen(sound[at : at + 480], False)
    assert metered.measures.echo == pytest.approx(0.8, rel=0.35)
    assert notes == [(SoundFault.ECHOING, "room echoes")]


@pytest.mark.parametrize("code", ["en", "de", "fr", "es", "sv", "fi", "ko"])
def test_every_grave_fault_has_a_phrase_in_every_language(code: str) -> None:
    phrases = load(code).phrases
    gone = {f"{device} back" for device in ("microphone", "loudspeaker")} | {"microphone gone"}
    assert {*GRAVE.values(), *LESSON.values(), WELL, *gone} <= set(phrases)
