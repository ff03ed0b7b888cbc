"""What a record tells of an evening, from its events alone."""

import pytest
from evenings import ENGLISH, EVENING, RUNNER, Evening, eventful
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.finder import Ask, Look, Side
from assistant.paper.retold import heard, story
from assistant.paper.story import AT_ONCE_S, WordHeard
from assistant.session.events import Event, Kind, Origin
from assistant.session.modes import search
from assistant.session.view import ModeName
from assistant.session.worked import LONGEST_STEP


def moments(told: Evening, group: int) -> list[tuple[str, str]]:
    return [(moment.what, moment.by) for moment in told.told().groups[group].moments]


def test_who_closed_each_group_and_what_it_went_through() -> None:
    evening = eventful()
    edge, rose, last = evening.told().groups
    assert moments(evening, 0) == [("off", "pedal"), ("begun anew", "voice"), ("even", "voice")]
    assert moments(evening, 1) == [("off", "pedal"), ("settled", "key")]
    assert [group.closed.by for group in (edge, rose, last) if group.closed] == ["voice", "key", "pedal"]
    assert rose.steps_back == 1
    assert (rose.line.counted, rose.line.expected) == (12, 12)


def test_what_a_newer_rule_would_replay_otherwise_is_still_by_voice_or_pedal() -> None:
    """An older record marks it behind the source, when it is brought up to date."""
    evening = Evening()("next", "next", "over", 1)("redo", by="voice, not asked")("next", "next", "next")
    evening("next", "next", "uneven", by="pedal, not looked for")
    assert moments(evening, 0) == [("off", "pedal"), ("begun anew", "voice"), ("even", "pedal")]
    assert [(word.kind, word.right) for word in evening.told().heard.words] == [(Kind.REDO, 1)]


def test_what_was_wrong_and_how_it_came_right() -> None:
    first, second = eventful().told().troubles
    assert (first.group, first.moment.words) == ("edge", "edge is off. 5 of 6 threaded, 1 left over.")
    assert first.ended is not None
    assert first.ended.what == "begun anew"
    assert (second.moment.words, second.ended and second.ended.what) == (
        "rose 1 is off. 10 of 12, 2 ends short.",
        "settled",
    )


def test_a_mistake_that_was_found_is_told_with_its_end() -> None:
    """End 5, on shaft 1, is left out; whoever is asked answers as the loom now is."""
    evening = Evening("{title: T, shafts: 4, groups: [{name: rose, thread: 1 2 3 4 1 2 3 4 1 2 3 4}]}")
    evening("next", "next", "next", "over", 1, "find")
    on_the_loom = [1, 2, 3, 4, 2, 3, 4, 1, 2, 3, 4]
    as_drawn = [1, 2, 3, 4] * 3
    while isinstance(look := search(evening.session.place.mode), Look) and (question := look.question):
        hang, should = (on_the_loom, as_drawn) if question.side is Side.FIRST else (on_the_loom[::-1], as_drawn[::-1])
        match question.ask:
            case Ask.SHAFTS:
                evening(hang[question.end - 1] if question.end <= len(hang) else 0)
            case Ask.RIGHT_UP_TO:
                evening("next" if hang[: question.end] == should[: question.end] else "find")
            case _:
                evening("unsure")
    assert evening.session.mode is ModeName.FOUND
    evening("next")
    found = [trouble.moment for trouble in evening.told().troubles if trouble.moment.what == "mistake found"]
    assert [moment.words for moment in found] == ["End 5 of the draft, on shaft one, was left out."]
    assert moments(evening, 0)[-1] == ("set right", "pedal")


def test_ends_used_up_inside_a_call_are_told_with_the_last_count() -> None:
    evening = Evening()("next", "next", "next", "next", "finished", 2)
    (trouble,) = evening.told().troubles
    assert trouble.moment.words == "rose 1 is off. 6 of 12, 6 ends short."
    assert trouble.ended is None


def test_a_difference_read_back_is_told() -> None:
    evening = Evening(RUNNER, "check")("next", by="clock")("find")(1)("settle", by="key")
    (trouble,) = evening.told().troubles
    assert trouble.moment.words == "edge differs after end 5."
    assert trouble.ended is not None
    assert trouble.ended.by == "key"


def test_a_pause_is_a_break_and_time_goes_to_the_group_in_hand() -> None:
    told = eventful().told()
    assert [len(stretches) for stretches in told.stretches] == [2, 1]
    pause = told.stretches[0][1][0] - told.stretches[0][0][1]
    assert pause == 1200.0
    assert sum(group.seconds for group in told.groups) == pytest.approx(told.seconds)


def test_pace_by_group() -> None:
    told = Evening()("next", "next", "next", after=12.0)("next", "next", "next", "next", after=6.0).told()
    assert [group.pace for group in told.groups[:2]] == [36 / 6, 24 / 12]


def test_marks_and_notes_keep_their_place() -> None:
    marked, written = eventful().told().notes
    assert (marked.group, marked.counted, marked.by, marked.text) == ("rose 1", 4, "key", "")
    assert (written.by, written.text) == ("written", "=HYPERLINK(1) <b>mind the knot</b>")


def test_hearing_is_reckoned_from_what_was_done_next() -> None:
    def said(kind: Kind, at: float, source: str = Origin.VOICE) -> Event:
        return Event(kind, at, source=source)

    events = [
        said(Kind.SIT_DOWN, 0.0, "clock"),
        *(said(Kind.NEXT, 10.0), said(Kind.NEXT, 40.0)),
        said(Kind.BACK, 40.0 + AT_ONCE_S, "pedal"),
        *(said(Kind.UNCLEAR, 100.0), said(Kind.NEXT, 104.0)),
        *(said(Kind.UNCLEAR, 200.0), said(Kind.NEXT, 300.0, "key")),
        *(said(Kind.UNCLEAR, 400.0, "pedal"), said(Kind.WHERE, 500.0)),
    ]
    told = heard(events)
    assert told.words == (WordHeard(Kind.NEXT, 2, 1), WordHeard(Kind.WHERE, 1, 0))
    assert (told.right, told.wrong, told.missed, told.other) == (3, 1, 1, 1)


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([Kind.NEXT, Kind.NEXT, Kind.NEXT, *Kind]),
            st.floats(0, 2 * LONGEST_STEP),
            st.none() | st.integers(0, 9),
            st.sampled_from(["key", "pedal", Origin.VOICE, "clock"]),
        ),
        max_size=60,
    ),
    st.sampled_from(["thread", "check", "read", "wind"]),
)
def test_whatever_happened_the_story_agrees_with_the_session(
    happened: list[tuple[Kind, float, int | None, str]], job: str
) -> None:
    evening = Evening(RUNNER.replace("shafts: 4", "shafts: 4\nyarns: {flax: {}}"), job)
    at = EVENING
    for kind, after, number, source in happened:
        at += after
        if kind is Kind.NUMBER and number is None:
            continue
        row = (1, 2) if kind is Kind.READ else ()
        event = Event(kind, at, number if kind is not Kind.SIT_DOWN else None, source, row)
        evening.events.append(event)
        evening.session.handle(event)
    told = story(evening.record, evening.events, ENGLISH)
    assert tuple(group.line for group in told.groups) == evening.session.summary()
    assert sum(group.seconds for group in told.groups) == pytest.approx(told.seconds)
    for group in told.groups:
        closed = group.line.state.value in ("even", "off", "settled")
        assert (group.closed is not None) == closed


def test_report_and_session_reckon_the_same_pace_after_a_crash() -> None:
    """Nobody left; four minutes later the warp was taken up again."""
    evening = Evening("{title: T, shafts: 4, groups: [{name: rose, thread: 20(1 2 3 4)}]}")
    evening(*["next"] * 8, after=20.0)("sit down", after=240.0)(*["next"] * 8, after=20.0)
    told = evening.told()
    assert told.pace == evening.session.place.pace == 5.0
    assert told.seconds == 16 * 20.0
