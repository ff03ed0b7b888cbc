"""Whatever happens in whatever order, place, count and states agree with each other."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from warps import session, spoken, warp

from assistant.session.events import Event, Kind, Origin
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName
from assistant.warp.passes import PASSES, THREAD, Manner, Pass
from assistant.words.speech import Say

HEAD = "shafts: 4, reed: 10, yarns: {flax: {}, rust: {}}"
JOBS = st.sampled_from(list(PASSES.values()))


@st.composite
def sequences(draw: st.DrawFn) -> str:
    """Small warps with one or two yarns, in dents that are equal, crammed, empty or shared by groups."""
    sley = draw(st.sampled_from(["[1]", "[2]", "[2, 2, 3]", "[2, 0]", "[0, 1, 4]"]))
    thread = st.tuples(st.integers(1, 13), st.sampled_from(["1", "1 3/4", "4..1"]))
    groups = draw(st.lists(st.tuples(thread, st.sampled_from(["flax", "2 flax, 1 rust"])), min_size=1, max_size=4))
    listed = ", ".join(f"{{thread: {n}({ends}), yarn: '{yarn}'}}" for (n, ends), yarn in groups)
    return f"{{{HEAD}, sley: {sley}, groups: [{listed}]}}"


@st.composite
def event_lists(draw: st.DrawFn) -> list[Event]:
    """Events in any order, time going forward; next comes most often, so that they get somewhere."""
    kinds = st.one_of(st.just(Kind.NEXT), st.just(Kind.NEXT), st.sampled_from(Kind))
    at, events = 0.0, [Event(Kind.SIT_DOWN, 0.0)]
    for kind in draw(st.lists(kinds, max_size=60)):
        at += draw(st.floats(0, 1000))
        number = None
        if kind in (Kind.NUMBER, Kind.SHORT, Kind.OVER):
            number = draw(st.none() | st.integers(0, 15)) if kind is not Kind.NUMBER else draw(st.integers(0, 15))
        if kind in (Kind.GO_TO, Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING, Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED):
            number = draw(st.none() | st.integers(0, 5))
        if kind is Kind.SIT_DOWN:
            number = draw(st.none() | st.integers(1, 10))
        row = draw(st.lists(st.integers(1, 5), min_size=1, max_size=4).map(tuple)) if kind is Kind.READ else ()
        events.append(Event(kind, at, number, draw(st.sampled_from(["key", "pedal", Origin.VOICE, Origin.CLOCK])), row))
    return events


def check(loom: Session) -> None:
    """Everything that must hold at any moment."""
    view = loom.view()
    for group in view.summary:
        match group.state:
            case GroupState.WAITING:
                assert group.counted == 0
            case GroupState.OPEN:
                assert 0 <= group.counted <= group.expected
            case GroupState.EVEN | GroupState.BEFORE:
                assert group.counted == group.expected
            case GroupState.OFF | GroupState.SETTLED:
                assert 0 <= group.counted <= group.expected
                whole = group.counted == group.expected
                assert whole is (group.state is GroupState.SETTLED) or group.over or group.dents
    here = loom.group
    assert view.done == sum(group.counted for group in view.summary)
    assert (view.mode in (ModeName.CALLING, ModeName.THERE)) == bool(view.called) == bool(view.calling)
    assert bool(view.figures) or view.mode not in (ModeName.CALLING, ModeName.THERE, ModeName.ASKING)
    numbered = (
        *(ModeName.WHICH, ModeName.COUNTING, ModeName.PARTWAY, ModeName.LAST_CALL),
        *(ModeName.HEDDLES, ModeName.PASSING, ModeName.GOING, ModeName.ASKING),
    )
    assert view.mode in numbered or loom.reads or not loom.largest_number
    if view.mode is ModeName.CALLING:
        assert here.counted + view.calling <= here.expected
        before = sum(group.expected for group in view.summary[: view.group_number - 1])
        assert view.first == before + here.counted + 1
        if loom.job is THREAD:
            ends = list(loom.place.course.warp.every_end())[view.first - 1 : view.first - 1 + view.calling]
            assert [figure.text for figure in view.figures] == ["/".join(map(str, end.shafts)) for end in ends]
    if view.mode in (ModeName.CLOSING, ModeName.WHICH, ModeName.COUNTING):
        assert here.counted == here.expected
    if view.mode in (ModeName.PARTWAY, ModeName.OFF):
        assert here.state is GroupState.OFF
    if view.mode in (ModeName.ASKING, ModeName.FOUND):
        assert here.state is GroupState.OFF or here.counted
    assert bool(view.home) == (loom.place.home is not None)
    assert view.mode is not ModeName.THERE or view.home
    if view.mode is ModeName.COMPLETE:
        assert all(group.state not in (GroupState.WAITING, GroupState.OPEN) for group in view.summary)


@given(sequences(), JOBS, event_lists())
def test_any_order_of_events_keeps_the_session_consistent(text: str, job: Pass[Any], events: list[Event]) -> None:
    loom = session(text, job)
    for event in events:
        effects = spoken(loom, event)
        check(loom)
        assert all(effect.text for effect in effects if isinstance(effect, Say))


@given(sequences(), JOBS, event_lists(), st.integers(0, 60))
def test_a_replay_stands_where_the_session_stood(text: str, job: Pass[Any], events: list[Event], cut: int) -> None:
    lived, replayed = session(text, job), session(text, job)
    lived.replay(events)
    replayed.replay(events[:cut])
    replayed.replay(events[cut:])
    assert replayed.view() == lived.view()


@given(sequences(), JOBS, event_lists())
def test_back_undoes_next(text: str, job: Pass[Any], events: list[Event]) -> None:
    loom = session(text, job)
    loom.replay(events)
    if loom.mode not in (ModeName.CALLING, ModeName.CLOSING) or loom.place.home:
        return
    before = loom.view()
    spoken(loom, Event(Kind.NEXT, events[-1].at))
    after = loom.view()
    if after.group_number == before.group_number + 1 or after.mode in (ModeName.COMPLETE, ModeName.CLOSING):
        spoken(loom, Event(Kind.BACK, events[-1].at))
        assert (loom.view().mode, loom.view().group) == (before.mode, before.group)


@given(sequences(), JOBS.filter(lambda job: job.manner is Manner.CALLED), st.integers(1, 10))
def test_a_job_done_without_a_slip_comes_out_even(text: str, job: Pass[Any], size: int) -> None:
    loom = Session(warp(text), job, size)
    spoken(loom, Event(Kind.SIT_DOWN, 0.0))
    steps = loom.calls + len(loom.warp.groups)
    for step in range(steps):
        assert loom.mode is not ModeName.COMPLETE
        spoken(loom, Event(Kind.NEXT, float(step)))
    assert loom.mode is ModeName.COMPLETE
    assert all(group.state is GroupState.EVEN for group in loom.summary())
