"""Which group of an edited sequence is which of the one before."""

import pytest

from assistant.session import editing
from assistant.session.machine import Session
from assistant.warp.model import Warp
from assistant.warp.sequence import loads


def warp(*threadings: str) -> Warp:
    groups = ", ".join(f"{{thread: {threading}}}" for threading in threadings)
    return loads(f"{{shafts: 4, groups: [{groups}]}}".encode(), "edited.yaml")


def followed(before: Warp, now: Warp) -> list[int]:
    return [each.group for each in editing.compared(Session(before)._place, now).groups]


@pytest.mark.parametrize("most", [editing.MOST_COMPARED, 0], ids=["all are compared", "too many for that"])
def test_one_more_among_many_alike_moves_those_behind_it(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(editing, "MOST_COMPARED", most)
    alike = ["1 2 3 4"] * 300
    now = followed(warp(*alike), warp(*alike[:100], "4 3 2 1", *alike[100:]))
    assert now == [*range(100), -1, *range(100, 300)]
    assert followed(warp(*alike), warp(*alike[:-1])) == list(range(299))


def test_of_several_that_changed_each_follows_the_one_in_its_place() -> None:
    before, now = warp("1 2", "1 3", "1 4", "2 4"), warp("1 2", "3 1", "4 1", "2 4")
    assert followed(before, now) == [0, 1, 2, 3]
    assert followed(before, warp("1 3", "4 1", "2 4", "2 3")) == [1, 2, 3, -1]
