"""What the page is told, and what stands on its buttons."""

import json
from collections.abc import Sequence
from dataclasses import replace

import pytest
from at_the_page import CALLING, SHORT_WARP, WELL, WORDS, session

from assistant.senses.page.page import changed
from assistant.senses.page.state import apart, hangs, label, large, now, small, warp
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName, View
from assistant.warp.examples import find
from assistant.warp.passes import PASSES
from assistant.warp.sequence import load as load_warp
from assistant.warp.sequence import loads

NEXT, SHORT = Kind.NEXT, Kind.SHORT


def written(view: View) -> list[str]:
    """On the three large areas, then where nothing else ever stands, then on the small ones."""
    kind = apart(view)
    return [
        *(str(area["label"]) for area in large(WORDS, view).values() if area["on"]),
        *([label(WORDS, view, kind)] if kind else []),
        *(one["label"] for one in small(WORDS, view)),
    ]


def test_the_state_is_plain_json_in_the_words_of_the_other_screens() -> None:
    told = json.loads(json.dumps(now(WORDS, CALLING, WELL)))
    rust = {"colour": "#a4532c", "pattern": 0, "edge": False}
    assert told["figures"] == [{"lines": [str(n)], "caption": f"{n} rust silk", "dyes": [rust]} for n in (1, 2, 3, 4)]
    assert (told["title"], told["place"], told["range"]) == ("Short, thread", "edge: group 1 of 2", "1 to 4 of 4")
    assert told["said"] == "edge, ends 1 to 4 of 4: rust silk 1, 2, 3, 4"
    assert told["following"] == "then stripe: mist wool 4, 3, rust silk 2, mist wool 1"
    assert told["yarns"] == [{"name": "rust silk", "dye": rust, "ends": 4}]
    assert (told["senses"], told["heard"], told["step"]) == ("hears you, speaks", "heard: next", 1)


def test_the_map_is_told_group_by_group() -> None:
    view = session(NEXT, NEXT).view()
    told = json.loads(json.dumps({**hangs(view), "states": warp(WORDS, view)}))
    assert [(group["start"], group["units"]) for group in told["groups"]] == [(0, 4), (4, 6)]
    assert told["groups"][1]["bands"] == [["#b7c4c9", 2], ["#a4532c", 1], ["#b7c4c9", 2], ["#a4532c", 1]]
    assert [group["state"] for group in told["states"]["groups"].values()] == ["even", "waiting"]
    assert (told["states"]["place"], told["states"]["call"]) == (400, [4, 4])
    assert told["states"]["closed"] == "1 of 2 groups closed, 1 even"


def test_a_press_sends_what_changed_and_of_2000_ends_less_than_2_kb() -> None:
    groups = ", ".join(f'{{name: stripe {n}, thread: "5(1 2 3 4)", yarn: rust}}' for n in range(100))
    big = Session(
        loads(SHORT_WARP.replace("groups:", f"groups: [{groups}]\nold:").split("old:")[0].encode(), "big.yaml")
    )
    assert big.total == 2000
    for _ in range(3):
        before = told_of(big)
        big.handle(Event(NEXT, 1.0, source="key"))
        pieces = changed(before, told_of(big))
        assert set(pieces) == {"now", "warp"}
        assert 0 < len(json.dumps(pieces, ensure_ascii=False).encode()) < 2000


def told_of(loom: Session) -> dict[str, dict[str, object]]:
    view = loom.view()
    return {"hangs": hangs(view), "warp": warp(WORDS, view), "now": now(WORDS, view, WELL)}


def test_buttons_say_what_they_do_now() -> None:
    assert written(CALLING)[:2] == ["Repeat", "Next"]  # nothing lies before the first call
    assert written(session(NEXT).view())[:6] == ["Previous", "Repeat", "Even", "Short", "Left over", "Uneven"]
    counting = session(NEXT, SHORT).view()
    assert not large(WORDS, counting)["next"]["on"]
    assert counting.largest == 4
    assert now(WORDS, counting, WELL)["pad"]
    off = session(NEXT, (SHORT, 1)).view()
    assert not large(WORDS, off)["next"]["on"]
    assert written(off)[:6] == [
        *("Open again", "Repeat", "Mistake", "Restart", "Settled", "Go on, still off"),
    ]
    assert "Not sure" in written(session(NEXT, (SHORT, 1), Kind.FIND).view())
    assert written(session(*[NEXT] * 5).view())[:3] == ["Open again", "Repeat", "Leave"]


@pytest.mark.parametrize(
    ("keys", "stands"),
    [((NEXT,), "Even"), ((NEXT, (SHORT, 1)), "Mistake"), ([NEXT] * 5, "Leave")],
    ids=["closing", "off", "complete"],
)
def test_no_finger_that_meant_to_go_on_meets_what_closes_searches_or_leaves(
    keys: Sequence[Kind | tuple[Kind, int]], stands: str
) -> None:
    view = session(*keys).view()
    kind = apart(view)
    assert kind
    assert label(WORDS, view, kind) == stands
    assert not large(WORDS, view)["next"]["on"]
    assert kind.value not in [one["do"] for one in small(WORDS, view)]
    assert apart(CALLING) is None


@pytest.mark.parametrize("job", PASSES)
def test_every_job_can_be_shown_at_every_step(job: str) -> None:
    loom = Session(load_warp(find("lakeside-scarf")), PASSES[job])
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    modes = set()
    for kind in (*[Kind.NEXT] * 3, Kind.FINISHED, Kind.NEXT, *[Kind.NEXT] * 3, Kind.PAUSE, Kind.RESUME):
        loom.handle(Event(kind, 1.0, source="clock" if kind is Kind.NEXT else "key"))
        modes.add(loom.mode)
        json.dumps([now(WORDS, loom.view(), WELL), warp(WORDS, loom.view())])
        assert "" not in written(loom.view())
    assert ModeName.CALLING in modes


def test_a_question_that_mistake_denies_is_answered_by_yes_and_no() -> None:
    asked = session(NEXT, (SHORT, 1), Kind.FIND).view()
    assert asked.mode is ModeName.ASKING
    assert {"Yes", "No"} <= set(written(asked))
    assert not now(WORDS, asked, WELL)["pad"], "0 and 1 would say neither yes nor no"
    of_shafts = replace(asked, offers=tuple(kind for kind in asked.offers if kind is not Kind.FIND))
    assert "On no other" in written(of_shafts)
    assert not {"Yes", "No", "Mistake"} & set(written(of_shafts))
