"""The loop: durable first, then spoken; a device that goes and comes back; failures that are told."""

import threading
import time
from collections.abc import Callable, Sequence

import pytest
from machine import EVENING, Machine
from memory import Memory
from waiting import wait

from assistant.errors import DeviceMissing, JournalError
from assistant.meaning import Tell
from assistant.senses.mouth import SilentMouth
from assistant.senses.portaudio import LOST_AFTER_S
from assistant.session.events import Adjust, Event, Kind, Sound, Tone
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName, Status, View
from assistant.sitting.loop import LOUDSPEAKER, MICROPHONE, TICK_S, Loop
from assistant.warp.passes import CHECK
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.speech import Say
from assistant.words.wording import Wording

WORDS = Wording(load("en"), "thread")
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
        self.there = self.open = True

    def alive(self) -> bool:
        return self.there and self.open

    awake = alive

    def shut(self) -> None:
        self.open = False

    def reopen(self) -> None:
        if not self.there:
            raise DeviceMissing("still away")
        self.open = True


def loop_with(diary: Diary, keep: Callable[[Event], None] | None = None, words: Wording = WORDS) -> tuple[Loop, Memory]:
    screen = Memory()
    return Loop(Session(WARP), words, keep or diary.keep, diary, screen), screen


def looked_after(loop: Loop) -> bool:
    """Once more."""
    loop._look_after()
    return True


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


def test_what_may_wait_is_done_when_all_is_said_and_shown() -> None:
    diary = Diary()
    screen = Memory()
    shown: list[int] = []

    def tidy() -> None:
        diary.notes.append("tidy")
        shown.append(screen.shown[-1][0].step)

    loop = Loop(Session(WARP), WORDS, diary.keep, diary, screen, tidy=tidy)
    loop.tidy(lambda: diary.notes.append("too"))
    post(loop, Kind.WHERE, Kind.LEAVE)
    loop.run()
    assert [note.split()[0] for note in diary.notes] == ["keep", "say", "tidy", "too"] * 3
    assert shown == [1, 2, 3]


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


def test_what_cannot_be_kept_is_told_in_the_language_of_the_sitting() -> None:
    diary = Diary()

    def keep(event: Event) -> None:
        raise JournalError("{file}: another window has this warp; go on there", file="{file}")

    loop, _ = loop_with(diary, keep, Wording(load("de"), "thread"))
    with pytest.raises(JournalError, match="another window"):
        loop.run()
    assert diary.notes[-1] == "say {file}: ein anderes Fenster hat diese Kette; mach dort weiter"


def test_a_fault_of_ours_is_spoken_and_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    monkeypatch.setattr(screen, "show", lambda view, status: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        loop.run()
    assert diary.notes[-1] == "say Something went wrong. Your place is saved."


def test_a_lost_microphone_is_shown_and_said_and_its_return_too() -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    microphone = Plugged()
    loop.watch(MICROPHONE, microphone)
    loop.watch(LOUDSPEAKER, Plugged())
    loop._show()
    assert screen.shown[-1][1].hears
    microphone.there = False
    loop._look_after()
    status = screen.shown[-1][1]
    assert (status.hears, status.speaks, status.notices) == (False, True, (Tell("no microphone"),))
    assert diary.notes == ["say The microphone is gone. Pedal and keys go on."]
    microphone.there = True
    assert wait(lambda: looked_after(loop) and screen.shown[-1][1].hears)
    assert screen.shown[-1][1].notices == ()
    assert diary.notes[1:] == ["say The microphone is back."]


def test_what_cannot_be_said_while_the_loudspeaker_is_away_is_said_when_it_is_back() -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    microphone, loudspeaker = Plugged(), Plugged()
    loop.watch(MICROPHONE, microphone)
    loop.watch(LOUDSPEAKER, loudspeaker)
    microphone.there = loudspeaker.there = False
    loop._look_after()
    assert screen.shown[-1][1].notices == (Tell("no loudspeaker"), Tell("no microphone"))
    assert diary.notes == []
    microphone.there = loudspeaker.there = True
    assert wait(lambda: looked_after(loop) and not loop._lost)
    said = " ".join(diary.notes)
    assert "The loudspeaker is back." in said
    assert "The microphone is back." in said
    assert "gone" not in said


def test_an_announcement_lets_the_mouth_finish() -> None:
    diary = Diary()
    loop, _ = loop_with(diary)
    diary.speaking = lambda: True  # type: ignore[method-assign]
    loop.announce("room", "microphone dead")
    loop._wait()
    assert diary.notes == []
    diary.speaking = lambda: False  # type: ignore[method-assign]
    loop._wait()
    assert diary.notes == ["say The microphone gives no sound. See whether it is muted or switched off."]


def test_a_word_that_cannot_be_said_is_shown_at_once_and_no_longer_than_it_is_so() -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    diary.trouble = Tell("Two knocks stand for “{said}”: the voice engine does not answer.", said="seven")
    loop._wait()
    assert screen.shown[-1][1].notices == (diary.trouble,)
    shown = len(screen.shown)
    loop._wait()
    assert len(screen.shown) == shown
    diary.trouble = None
    loop._wait()
    assert not screen.shown[-1][1].notices


class Stuck(Plugged):
    """A device whose system answers only when it is let."""

    def __init__(self) -> None:
        super().__init__()
        self.asked, self.let = threading.Event(), threading.Event()

    def reopen(self) -> None:
        self.asked.set()
        self.let.wait()
        super().reopen()


def test_keys_act_while_a_device_cannot_even_be_opened() -> None:
    """The weaver presses and leaves; the opening, which never returned till then, is let go only afterwards."""
    diary = Diary()
    loop, screen = loop_with(diary)
    microphone = Stuck()
    microphone.there = False
    loop.watch(MICROPHONE, microphone)
    loop._look_after()
    assert microphone.asked.wait(30)
    post(loop, Kind.NEXT, Kind.LEAVE)
    loop.run()
    assert "keep next" in diary.notes
    assert not microphone.let.is_set()
    assert not screen.shown[-1][1].hears
    microphone.let.set()


def test_a_loss_is_noticed_within_two_seconds() -> None:
    """Between the last block and a look, as these two say, whatever else happens at the loom."""
    assert LOST_AFTER_S + TICK_S < 2


def test_a_loss_is_noticed_though_keys_never_rest() -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    microphone = Plugged()
    loop.watch(MICROPHONE, microphone)
    microphone.there = False
    post(loop, Kind.REPEAT)
    loop._wait()
    assert screen.shown[-1][1].notices == (Tell("no microphone"),)


def test_the_senses_know_when_a_number_is_asked_for() -> None:
    loop, _ = loop_with(Diary())
    asked: list[int] = []
    loop.ask(lambda largest, rows, checked: asked.append(largest))
    loop.post(Event(Kind.OVER, time.time()), "surplus")
    loop.post(Event(Kind.NUMBER, time.time(), 1))
    post(loop, Kind.LEAVE)
    loop.run()
    assert asked == [0, 0, 999, 0, 0]


def test_what_was_heard_and_what_a_sense_has_to_tell_are_shown() -> None:
    loop, screen = loop_with(Diary())
    loop.notify("pedal", Tell("pedal ready"))
    loop.post(Event(Kind.REPEAT, time.time()), "repeat")
    loop.notify("pedal", None)
    loop.post(Event(Kind.NUMBER, time.time(), 3, "key"))
    post(loop, Kind.LEAVE)
    loop.run()
    statuses = [status for _, status in screen.shown]
    assert ("repeat", (Tell("pedal ready"),)) in [(status.heard, status.notices) for status in statuses]
    events = [status.heard for status in statuses if isinstance(status.heard, Event)]
    assert (Kind.NUMBER, 3) in [(event.kind, event.number) for event in events]
    assert statuses[-1].notices == ()


class Finisher(Memory):
    """A screen whose weaver leaves when all is done."""

    def __init__(self) -> None:
        super().__init__()
        self.leave: Callable[[], None] = lambda: None

    def show(self, view: View, status: Status) -> None:
        super().show(view, status)
        if view.mode is ModeName.COMPLETE:
            self.leave()


def test_a_check_moves_on_by_itself_once_the_mouth_is_silent() -> None:
    diary, screen = Diary(), Finisher()
    loop = Loop(Session(WARP, CHECK), WORDS, diary.keep, diary, screen)
    screen.leave = lambda: post(loop, Kind.LEAVE)
    loop.keep_pace(0.01)
    loop.run()
    assert [note for note in diary.notes if note.startswith("keep")] == ["keep sit down", "keep next", "keep leave"]
    assert screen.shown[-1][0].summary[0].state is GroupState.EVEN


def test_while_the_mouth_speaks_or_something_is_asked_a_check_waits() -> None:
    diary = Diary()
    loop = Loop(Session(WARP, CHECK), WORDS, diary.keep, diary, Memory())
    loop.keep_pace(0.0)
    diary.speaking = lambda: True  # type: ignore[method-assign]
    loop._take(Event(Kind.SIT_DOWN, time.time()), "")
    for _ in range(3):
        loop._wait()
    assert loop._session.done == 0
    diary.speaking = lambda: False  # type: ignore[method-assign]
    loop._take(Event(Kind.FINISHED, time.time()), "")
    for _ in range(3):
        loop._wait()
    assert loop._session.mode is ModeName.PARTWAY


def test_an_answer_counts_only_at_the_step_it_answers() -> None:
    diary = Diary()
    loop, screen = loop_with(diary)
    refused: list[Kind] = []

    def answer(step: int, kind: Kind) -> None:
        loop.answer(step, Event(kind, time.time(), source="page"), True, lambda: refused.append(kind))

    answer(1, Kind.NEXT)  # sitting down is the first
    answer(1, Kind.NEXT)  # of another page, or of an old one
    answer(7, Kind.BACK)
    answer(2, Kind.LEAVE)
    loop.run()
    assert refused == [Kind.NEXT, Kind.BACK]
    assert [note for note in diary.notes if note.startswith("keep")] == ["keep sit down", "keep next", "keep leave"]
    assert [view.step for view, _ in screen.shown] == [1, 2, 3]


@pytest.mark.parametrize("set_by", [-3600, 3600, -60, 1_700_000_000, -1_700_000_000])
def test_a_clock_set_meanwhile_moves_nothing_and_is_kept_with_how_far(set_by: int) -> None:
    machine, kept = Machine(), list[Event]()
    loop = Loop(Session(WARP), WORDS, kept.append, SilentMouth(), Memory(), clock=machine.clock)
    loop._take(Event(Kind.SIT_DOWN, loop.clock.now()), "")
    machine.passes(10)
    loop.post(Event(Kind.NEXT, loop.clock.now(), source="key"))
    loop._wait()
    machine.passes(10, set_by)
    loop.post(Event(Kind.NEXT, loop.clock.now(), source="key"))
    loop._wait()
    assert [(event.kind, event.at - EVENING, event.number) for event in kept] == [
        *((Kind.SIT_DOWN, 0, None), (Kind.NEXT, 10, None), (Kind.CLOCK_SET, 20, set_by), (Kind.NEXT, 20, None)),
    ]
    assert loop._session.place.busy == 20
    assert loop._session.mode is ModeName.COMPLETE


def test_a_machine_that_slept_is_kept_and_the_pace_does_not_know_of_it() -> None:
    machine, kept = Machine(), list[Event]()
    loop = Loop(Session(WARP), WORDS, kept.append, SilentMouth(), Memory(), clock=machine.clock)
    loop._take(Event(Kind.SIT_DOWN, loop.clock.now()), "")
    machine.passes(200, asleep=True).passes(5)
    loop.post(Event(Kind.NEXT, loop.clock.now(), source="key"))
    loop._wait()
    assert [(event.kind, event.number) for event in kept[1:]] == [(Kind.SLEPT, 200), (Kind.NEXT, None)]
    assert loop._session.place.busy == 5


def test_a_check_goes_on_at_its_pace_when_the_clock_is_set_back() -> None:
    machine, kept = Machine(), list[Event]()
    loop = Loop(Session(WARP, CHECK), WORDS, kept.append, SilentMouth(), Memory(), clock=machine.clock)
    loop.keep_pace(10)
    loop._take(Event(Kind.SIT_DOWN, loop.clock.now()), "")
    machine.passes(39, -3600)
    loop._wait()
    machine.passes(2)
    loop._wait()
    assert [event.kind for event in kept] == [Kind.SIT_DOWN, Kind.CLOCK_SET, Kind.NEXT]


def test_a_press_that_comes_again_at_once_is_not_kept_and_a_word_that_is_said_twice_is() -> None:
    """By the times of the events: a pedal's second press 0.3 s after its first, and then one 0.5 s after it."""
    diary = Diary()
    loop, _ = loop_with(diary)
    began = loop.clock.now()
    for after in (0.0, 0.3, 0.5):
        loop.press(Event(Kind.WHERE, began + after, source="pedal"))
        loop.post(Event(Kind.REPEAT, began + after, source="voice"), "repeat")
    loop.post(Event(Kind.LEAVE, began + 1))
    loop.run()
    kept = [note for note in diary.notes if note.startswith("keep")]
    assert (kept.count("keep where"), kept.count("keep repeat")) == (2, 3)


def test_a_touch_that_is_a_bounce_is_known_before_it_is_given_on() -> None:
    loop, _ = loop_with(Diary())
    began = loop.clock.now()
    touch = Event(Kind.NEXT, began, source="page")
    assert not loop.bounced(touch, finger=True)
    loop.answer(1, touch, finger=True, refused=lambda: None)
    assert loop.bounced(Event(Kind.BACK, began + 0.35, source="page"), finger=True)
    assert not loop.bounced(Event(Kind.BACK, began + 0.35, source="page"), finger=False)
    assert not loop.bounced(Event(Kind.BACK, began + 0.45, source="page"), finger=True)
