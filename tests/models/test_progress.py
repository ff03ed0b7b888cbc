"""How far a download is, on a terminal."""

import sys
from io import StringIO

import pytest

from assistant.meaning import Tell
from assistant.models.progress import WIDTH, on_one_line
from assistant.words.language import load
from assistant.words.printed import Printed

ENGLISH = Printed(load("en"))


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def test_one_line_is_written_over_and_left_empty(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", terminal := Terminal())
    with on_one_line("model", ENGLISH) as show:
        show(Tell("fetched of", fetched="1", whole="41 MB"))
        show(Tell("fetched", fetched="unpacking " * 20))
    lines = [line for line in terminal.getvalue().split("\r") if line]
    assert [line.strip()[:19] for line in lines] == ["model: 1 of 41 MB", "model: unpacking un", ""]
    assert {len(line) for line in lines} == {WIDTH}


def test_a_log_is_not_filled_with_it(capsys: pytest.CaptureFixture[str]) -> None:
    with on_one_line("model", ENGLISH) as show:
        show(Tell("fetched of", fetched="1", whole="41 MB"))
    assert capsys.readouterr().err == ""
