"""Whole evenings by a numeric keypad alone: threaded with mistakes, looked for, read back, checked and sleyed."""

import random

import pytest
from on_keypad import OnKeypad
from reed import LISTED
from test_sleying_in_a_session import AtTheReed
from test_sleying_in_a_session import warp as reeded

from assistant.meaning import Tell
from assistant.rehearsal import coverage
from assistant.rehearsal.coverage import CoverageWish, read_back, thread
from assistant.rehearsal.outcome import Report
from assistant.rehearsal.silent import SECONDS_AN_END
from assistant.rehearsal.slipping import Fate
from assistant.rehearsal.talk import Talk
from assistant.rehearsal.weaver import PlannedSlip, Slip, Weaver
from assistant.session.events import Event, Kind, Origin, Sound, Tone
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.passes import CHECK, PASSES, Manner
from assistant.words.language import load
from assistant.words.wording import Performed, Wording

ENGLISH = load("en")
RUNNER, FIRST = (sequence.load(find(name)) for name in ("hearth-runner", "first-evening"))


class PadTalk(Talk):
    """The weaver's side, by keypad."""

    def __call__(
        self, kind: Kind, number: int | None = None, row: tuple[int, ...] = (), by: str = ""
    ) -> list[Performed]:
        """Press what says this, and a number that goes with it once it is asked for; of a row each shaft."""
        session, pad = self.report.session, PADS.setdefault(id(self.report), OnKeypad())
        if kind is Kind.SIT_DOWN:
            return super().__call__(kind)
        MODES.add(session.mode)
        done: list[Performed] = []
        for shaft in row:
            if done and (Sound(Tone.UNCLEAR) in done or not session.reads):
                break  # she hears it, and looks up
            for event in pad.means(session, Kind.NUMBER, shaft):
                done += self.report.handle(event)
        if not row:
            for event in pad.means(session, kind, number if kind is Kind.NUMBER else None):
                done += self.report.handle(event)
        if number is not None and kind is not Kind.NUMBER:
            if kind in (Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING):
                COUNTED[id(self.report)] = number  # asked for once the shaft is told
            else:
                done += self(Kind.NUMBER, number)
        elif kind is Kind.NUMBER and session.mode is ModeName.HEDDLES and id(self.report) in COUNTED:
            done += self(Kind.NUMBER, COUNTED.pop(id(self.report)))
        return done


PADS: dict[int, OnKeypad] = {}
COUNTED: dict[int, int] = {}
MODES: set[ModeName] = set()


def test_a_warp_with_mistakes_is_threaded_looked_through_and_read_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(coverage, "Talk", PadTalk)
    wish = CoverageWish(20, misheard=0.0, seed=4)
    fates = set()
    for run in range(2):
        hands, rng = wish.hands(RUNNER, run), wish.chance(run)
        threaded, hanging = thread(hands, ENGLISH, wish, rng)
        reading = read_back(hands, hanging, ENGLISH, wish, rng)
        assert all(loom.right for loom in hanging)
        assert {line.state for line in reading.talk.report.session.summary()} == {GroupState.EVEN}
        fates |= {made.fate for made in hands.made}
        assert threaded.searched
    assert {Fate.FOUND, Fate.READ} <= fates
    assert {ModeName.ASKING, ModeName.FOUND, ModeName.OFF, ModeName.COUNTING} <= MODES


@pytest.mark.parametrize("slip", Slip)
@pytest.mark.parametrize(
    "job", [job for job in PASSES.values() if job.manner is Manner.CALLED], ids=lambda job: job.name
)
def test_every_slip_in_every_job_is_put_right(slip: Slip, job: object) -> None:
    session = Session(FIRST, job)  # type: ignore[arg-type]
    report, weaver, pad = (
        Report(session, Wording(ENGLISH, session.job.name)),
        Weaver([PlannedSlip(slip, 9)]),
        OnKeypad(),
    )
    report.handle(Event(Kind.SIT_DOWN, pad.at))
    while not report.left:
        pad.at += SECONDS_AN_END[0]
        for act in weaver.act(session.view()):
            unclear = [] if act.kind else [Event(Kind.UNCLEAR, pad.at)]
            for event in unclear or pad.means(session, act.kind or Kind.UNCLEAR, act.number):
                report.handle(event)
    assert all(group.state is GroupState.EVEN for group in session.summary())


class SleyedByKeypad(AtTheReed):
    """Who sleys with a keypad beside the reed."""

    def __call__(self, kind: str, number: int | None = None) -> None:
        if kind == "sit down":
            self.pad = OnKeypad()
            super().__call__(kind)
            return
        meant = Kind(kind)
        told = self.pad.means(self.session, meant, number if meant is Kind.NUMBER else None)
        assert [event.kind for event in told] == [meant]
        for event in told:
            kept = self.session.found_by(event)
            self.events.append(kept)
            self.session.handle(kept)
        if number is not None and meant is not Kind.NUMBER:
            self("number", number)


@pytest.mark.parametrize("kind", LISTED)
def test_a_mistake_in_the_reed_is_looked_for_and_sleyed_anew(kind: str) -> None:
    loom = SleyedByKeypad(reeded("[2, 0, 3]"), kind, random.Random(kind))
    for _ in range(4):
        if loom.reed.right():
            break
        loom.find()
        repair = loom.look.choices[0].repair
        loom("next")
        loom.reed.sley(repair.first, repair.first + repair.taken_out - 1)
        loom.to_closing()
    assert loom.reed.right()
    loom("next")
    assert loom.session.summary()[1].state is GroupState.EVEN


def test_a_check_is_stopped_where_it_differs_and_gone_on_with() -> None:
    session, pad = Session(FIRST, CHECK), OnKeypad()
    session.handle(Event(Kind.SIT_DOWN, pad.at))
    modes = []
    for keys in (
        ["enter"],
        ["-"],
        ["2", "enter"],
        ["*"],
        ["0"],
        ["/", "8"],
        ["enter"],
        ["/", ".", "3", "enter"],
        ["/", "9"],
    ):
        for event in pad.press(session, *keys[: 2 if keys[0] == "/" else None]):
            session.handle(event)
        for event in pad.press(session, *keys[2:]) if keys[0] == "/" and keys[2:] else []:
            session.handle(event)
        modes.append(session.mode.value)
    assert modes == ["calling", "how far", "off", "calling", "calling", "paused", "calling", "looking on", "calling"]
    while session.mode is not ModeName.COMPLETE:
        for event in pad.press(session, "enter"):
            session.handle(event)
    (leaving,) = pad.press(session, "/", "/", "enter")
    assert leaving.kind is Kind.LEAVE
    assert any(isinstance(effect, Tell) for effect in session.handle(leaving))
    assert leaving.source == Origin.KEY
