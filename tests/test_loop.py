"""The loop: durable first, then spoken; a device that goes and comes back; failures that are told."""

import time
from collections.abc import Callable, Sequence

import pytest

from assistant.errors import DeviceMissing, JournalError
from assistant.languages import load
from assistant.loop import LOUDSPEAKER, MICROPHONE, Loop
from assistant.senses.mouth import SilentMouth
from assistant.senses.screen.memory import Memory
from assistant.session.events import Adjust, Event, Kind, Say, Sound, Tone
from assistant.session.machine import Session
from assistant.session.view import GroupState, Mode, Status, View
from assistant.warp.passes import CHECK
from assistant.warp.sequence import loads

WARP = loads(b"{title: Loop, shafts: 4, groups: [{name: only, thread: 1 2 3 4}]}", "loop.yaml")


class Diary(SilentMouth):
    """Notes in what order things happen."""

    def __init__(self) -> None:
        self.notes: list[str] = []

    def keep(self, event: Event) -> None:
        self.notes.append(f"keep {event.kind}")

    def utter(self, sounds: Sequence[Say | Sound]) -> None:
        self.notes.append("say " + " ".join(s.text if isinstance(s, Say) else f"[{s.tone}]" for s in sounds))

    def adjust(self, adjust: Adjust) -> None:
        self.notes.append(f"{adjust.what} {adjust.notches:+}")


class Plugged:
    """A device that can be pulled out and put back."""

    def __init__(self) -> None:
        self.there = True

    def alive(self) -> bool:
        return self.there

    def reopen(self) -> None:
        raise DeviceMissing("still away")


def loop_with(diary: Diary, keep: Callable[[Event], None] | None = None) -> tuple[Loop, Memory]:
    screen = Memory()
    return Loop(Session(WARP, load("en")), keep or diary.keep, diary, screen), screen


def post(loop: Loop, *kinds: Kind) -> None:
    for kind in kinds:
        loop.post(Event(kind, time.time(), source="key"))


def test_every_event_is_durable_before_anything_is_said_about_it() -> None:
    diary = Diary()
    loop, _ = loop_with(diary)
    post(loop, Kind.NEXT, Kind.LOUDER, Kind.NEXT, Kind.LEAVE)
    loop.run()
    assert diary.notes == [
        "keep sit down",
        "say Now threading Loop: 4 ends in 1 groups. only, 4 ends: one, two, three, four",
        "keep next",
        "say only: 4 ends. Even?",
        "keep louder",
        "volume +1",
        "say only: 4 ends. Even?",
        "keep next",
        f"say [{Tone.EVEN}] All 4 ends are threaded, in 1 groups. No group is off.",
        "keep leave",
        "say Loop is threaded, and saved.",
    ]


def test_what_cannot_be_kept_is_not_acknowledged_but_told() -> None:
    diary = Diary()

    def keep(event: Event) -> None:
        if event.kind is Kind.NEXT:
            raise JournalError("the disk is full")
        diary.keep(event)

    loop, screen = loop_with(diary, keep)
    post(loop, Kind.NEXT)
    with pytest.raises(JournalError, match="disk is full"):
        loop.run()
    assert diary.notes[-1] == "say the disk is full"
    assert screen.shown[-1][0].counted == 0


def test_a_fault_of_ours_is_spoken_and_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    monkeypatch.setattr(screen, "show", lambda view, status: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        loop.run()
    assert diary.notes[-1] == "say Something went wrong. Your place is saved."


def test_a_lost_microphone_is_shown_and_its_return_too() -> None:
    loop, screen = loop_with(Diary())
    microphone = Plugged()
    loop.watch(MICROPHONE, microphone)
    loop.watch(LOUDSPEAKER, Plugged())
    loop._show()
    assert screen.shown[-1][1].hears
    microphone.there = False
    loop._look_after()
    status = screen.shown[-1][1]
    assert (status.hears, status.speaks, status.notice) == (False, True, "the microphone is gone")
    microphone.there = True
    loop._look_after()
    assert screen.shown[-1][1].hears
    assert screen.shown[-1][1].notice == ""


def test_the_senses_know_when_a_number_is_asked_for() -> None:
    loop, _ = loop_with(Diary())
    asked: list[int] = []
    loop.ask(lambda largest, rows: asked.append(largest))
    loop.post(Event(Kind.OVER, time.time()), "surplus")
    loop.post(Event(Kind.NUMBER, time.time(), 1))
    post(loop, Kind.LEAVE)
    loop.run()
    assert asked == [0, 999, 0, 0]


def test_what_was_heard_and_what_a_sense_has_to_tell_are_shown() -> None:
    loop, screen = loop_with(Diary())
    loop.notify("pedal", "the pedal is unplugged")
    loop.post(Event(Kind.REPEAT, time.time()), "repeat")
    loop.notify("pedal", "")
    loop.post(Event(Kind.NUMBER, time.time(), 3, "key"))
    post(loop, Kind.LEAVE)
    loop.run()
    statuses = [status for _, status in screen.shown]
    assert ("repeat", "the pedal is unplugged") in [(status.heard, status.notice) for status in statuses]
    assert "number 3" in [status.heard for status in statuses]
    assert statuses[-1].notice == ""


def test_what_is_to_be_told_waits_until_the_mouth_is_silent() -> None:
    diary = Diary()
    loop, _ = loop_with(diary)
    diary.speaking = lambda: True  # type: ignore[method-assign]
    loop.tell("Listen to this.")
    loop._wait()
    assert diary.notes == []
    diary.speaking = lambda: False  # type: ignore[method-assign]
    loop._wait()
    loop._wait()
    assert diary.notes == ["say Listen to this."]


class Finisher(Memory):
    """A screen whose weaver leaves when all is done."""

    def __init__(self) -> None:
        super().__init__()
        self.leave: Callable[[], None] = lambda: None

    def show(self, view: View, status: Status) -> None:
        super().show(view, status)
        if view.mode is Mode.FINISHED:
            self.leave()


def test_a_check_moves_on_by_itself_once_the_mouth_is_silent() -> None:
    diary, screen = Diary(), Finisher()
    loop = Loop(Session(WARP, load("en"), CHECK), diary.keep, diary, screen)
    screen.leave = lambda: post(loop, Kind.LEAVE)
    loop.keep_pace(0.01)
    loop.run()
    assert [note for note in diary.notes if note.startswith("keep")] == ["keep sit down", "keep next", "keep leave"]
    assert screen.shown[-1][0].summary[0].state is GroupState.EVEN


def test_while_the_mouth_speaks_or_something_is_asked_a_check_waits() -> None:
    diary = Diary()
    loop = Loop(Session(WARP, load("en"), CHECK), diary.keep, diary, Memory())
    loop.keep_pace(0.0)
    diary.speaking = lambda: True  # type: ignore[method-assign]
    loop._take(Event(Kind.SIT_DOWN, time.time()), "")
    for _ in range(3):
        loop._wait()
    assert loop._session.done == 0
    diary.speaking = lambda: False  # type: ignore[method-assign]
    loop._take(Event(Kind.DONE, time.time()), "")
    for _ in range(3):
        loop._wait()
    assert loop._session.mode is Mode.PARTWAY
