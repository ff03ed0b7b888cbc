"""What is counted before a thread is cut."""

import json
from collections import Counter

from drawn import warps
from hypothesis import HealthCheck, given, settings

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.paper.plan import lines
from assistant.warp.heddles import heddle_cautions, heddles
from assistant.warp.model import Warp
from assistant.warp.plan import plan
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.phrases import Phrases


def read(text: str) -> Warp:
    """The warp this text describes."""
    return loads(text.encode(), "f.yaml")


def test_a_unit_counted_by_hand() -> None:
    """Two Bronson lace units (Atwater, from memory): shaft 1 takes every other end, shaft 2 ties each unit once."""
    warp = read("shafts: 4\nblocks: {a: 2(1 3) 1 2, b: 2(1 4) 1 2}\ngroups: [{thread: a b}, {thread: 2(a), times: 2}]")
    assert heddles(warp.groups[0].ends) == {1: 6, 2: 2, 3: 2, 4: 2}
    assert heddles(warp.groups[1].ends) == {1: 6, 2: 2, 3: 4}
    assert heddles(warp.every_end()) == {1: 18, 2: 6, 3: 10, 4: 2}


def test_an_end_on_two_shafts_takes_a_heddle_on_each() -> None:
    warp = read("shafts: 8\ngroups: [{thread: 1/5 2/5 3}]")
    assert heddles(warp.every_end()) == {1: 1, 2: 1, 3: 1, 5: 2}


@given(warps())
def test_the_whole_is_the_sum_of_the_groups(warp: Warp) -> None:
    total: Counter[int] = Counter()
    for group in warp.groups:
        total.update(heddles(group.ends))
    assert heddles(warp.every_end()) == total
    assert total.total() == sum(len(end.shafts) for end in warp.every_end() if not end.joins)


def test_a_shaft_with_too_few_heddles_is_named() -> None:
    groups = "groups: [{thread: 110(1 2 3 2 3)}]"
    warp = read(f"shafts: 4\nheddles: {{1: 110, 2: 300, 3: 160}}\n{groups}")
    assert heddle_cautions(warp) == (Tell("too few heddles", shaft=3, needed=220, counted=160, count=60),)
    line = "shaft 3 needs 220 heddles, the loom has 160: 60 missing"
    english = load("en").phrases
    assert Phrases(english, english).told(*heddle_cautions(warp)) == line


def test_heddles_that_nobody_counted_are_no_reason_to_worry() -> None:
    assert heddle_cautions(read("shafts: 4\ngroups: [{thread: 1 2 3}]")) == ()


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(warps())
def test_any_warp_is_planned_or_refused_in_one_line(warp: Warp) -> None:
    """Whatever the numbers, every end is in a section, and the first and last lie within the width."""
    try:
        told = plan(warp)
    except PlanError as error:
        assert "\n" not in str(error)  # noqa: PT017
        return
    json.dumps(told.as_json(), allow_nan=False)
    assert lines(told, load("de"))
    if told.lying:
        assert sum(section.ends for section in told.sections) == warp.ends
        assert 0 < told.lying.at(1) <= told.lying.at(warp.ends) < told.lying.width
