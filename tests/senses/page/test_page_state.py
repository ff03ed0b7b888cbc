"""What the page is told, and what stands on its buttons."""

import json

import numpy as np
import pytest
from at_the_page import CALLING, WELL, WORDS, session

from assistant.senses.page.page import invitation
from assistant.senses.page.state import large, now, small, warp
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName, View
from assistant.warp.examples import find
from assistant.warp.passes import PASSES
from assistant.warp.sequence import load as load_warp

NEXT, SHORT = Kind.NEXT, Kind.SHORT


def written(view: View) -> list[str]:
    return [str(area["label"]) for area in large(WORDS, view).values() if area["on"]] + [
        one["label"] for one in small(WORDS, view)
    ]


def test_the_state_is_plain_json_in_the_words_of_the_other_screens() -> None:
    told = json.loads(json.dumps(now(WORDS, CALLING, WELL)))
    assert told["figures"] == [{"text": str(n), "caption": f"{n} rust silk"} for n in (1, 2, 3, 4)]
    assert (told["title"], told["place"], told["group"]) == ("Short, thread", "edge: group 1 of 2", "0 of 4 ends")
    assert told["following"] == "then stripe: mist wool 4, 3, rust silk 2, mist wool 1"
    assert told["yarns"] == [{"name": "rust silk", "colour": "#a4532c", "ends": 4}]
    assert (told["senses"], told["heard"], told["step"]) == ("hears you, speaks", "heard: next", 1)


def test_the_map_is_told_group_by_group() -> None:
    told = json.loads(json.dumps(warp(WORDS, session(NEXT, NEXT).view())))
    assert [(group["start"], group["units"], group["state"]) for group in told["groups"]] == [
        (0, 4, "even"),
        (4, 6, "waiting"),
    ]
    assert [band["ends"] for band in told["groups"][1]["bands"]] == [2, 1, 2, 1]
    assert (told["place"], told["closed"]) == (400, "1 of 2 groups closed, 1 even")


def test_buttons_say_what_they_do_now() -> None:
    assert written(CALLING)[:2] == ["Repeat", "Next"]  # nothing lies before the first call
    assert written(session(NEXT).view())[:6] == ["Previous", "Repeat", "Even", "Short", "Left over", "Uneven"]
    counting = session(NEXT, SHORT).view()
    assert not large(WORDS, counting)["next"]["on"]
    assert counting.largest == 4
    off = session(NEXT, (SHORT, 1)).view()
    assert not large(WORDS, off)["next"]["on"]
    assert written(off)[:6] == [
        *("Open again", "Repeat", "Mistake", "Restart", "Settled", "Go on, still off"),
    ]
    assert "Not sure" in written(session(NEXT, (SHORT, 1), Kind.FIND).view())
    assert written(session(*[NEXT] * 5).view())[:3] == ["Open again", "Repeat", "Leave"]


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


def test_the_address_is_printed_and_where_shared_drawn_too() -> None:
    assert invitation(WORDS, "http://127.0.0.1:1/a/", share=False) == ["page: http://127.0.0.1:1/a/"]
    *drawn, address, caution = invitation(WORDS, "http://192.168.1.2:1/a/", share=True)
    assert address == "page: http://192.168.1.2:1/a/"
    assert "this sitting only" in caution
    assert len({len(line) for line in drawn}) == 1
    assert set("".join(drawn)) <= set(" █▀▄")


def test_a_phone_reads_the_code_off_the_terminal() -> None:
    """With the reader of the ZXing project, light being ink as on a dark terminal."""
    zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    address = "http://192.168.178.123:43210/" + "aB-_" * 11 + "/"
    drawn = [line for line in invitation(WORDS, address, share=True) if set(line) <= set(" █▀▄")]
    halves = [[[255 * (cell in f"█{half}") for cell in line] for half in "▀▄"] for line in drawn]
    dots = np.array([row for pair in halves for row in pair], np.uint8)
    (read,) = zxing.read_barcodes(np.pad(dots, 4).repeat(8, 0).repeat(8, 1))
    assert read.text == address
