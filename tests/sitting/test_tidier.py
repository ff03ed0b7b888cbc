"""What a sitting does while nobody waits for anything."""

from typing import Any

import pytest

from assistant.sitting import run


class Keeper:
    def __init__(self) -> None:
        self.tidied = 0

    def tidy(self) -> None:
        self.tidied += 1


def test_the_record_is_made_whole_each_time_and_memory_given_back_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[int] = []
    keeper: Any = Keeper()
    monkeypatch.setattr(run, "give_back", lambda: given.append(keeper.tidied))
    tidy = run.tidier(keeper)
    for _ in range(2 * run.GIVEN_BACK_EVERY + 1):
        tidy()
    assert keeper.tidied == 2 * run.GIVEN_BACK_EVERY + 1
    assert given == [run.GIVEN_BACK_EVERY, 2 * run.GIVEN_BACK_EVERY]
