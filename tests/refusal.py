"""A command that refuses what it was given."""

import pytest

from assistant import cli


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line that comes with exit code 2, from whoever refuses."""
    try:
        code = cli.main(words)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    told = capsys.readouterr()
    assert (code, told.out, told.err.count("\n")) == (2, "", 1)
    assert told.err.startswith("heddlecall")
    return told.err
