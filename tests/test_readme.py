"""What the README and the guide tell a newcomer to type is understood."""

import re
import shlex
from pathlib import Path

import pytest

from assistant import cli
from assistant.senses.pedal.keys import KEYS
from assistant.words.language import load

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TYPED = re.findall(r"^ +heddlecall (.*)$", README, re.MULTILINE)

pytestmark = pytest.mark.skipif(not TYPED, reason="no README beside the tests")


@pytest.mark.parametrize("line", TYPED)
def test_every_command_in_the_readme_is_one(line: str) -> None:
    options = cli._parser().parse_args(shlex.split(line))
    assert callable(options.command)


def test_the_readme_shows_the_call_sheet_it_promises(capsys: pytest.CaptureFixture[str]) -> None:
    assert "calls first-evening" in TYPED
    assert cli.main(["calls", "first-evening"]) == 0
    assert "right edge: 4 ends" in capsys.readouterr().out


def test_the_table_names_the_words_and_keys_that_work() -> None:
    table = README[README.index("| You mean") : README.index("A number is listened for only")]
    commands = load("en").commands
    rows = [row.split("|") for row in table.splitlines()[2:] if row.startswith("|")]
    said = {word.strip() for row in rows for word in re.split("[,;]", row[2]) if word.strip()}
    said -= {"then a number", "once all is threaded"}
    assert said <= {word for spoken in commands.values() for word in spoken}
    keys = set(re.findall(r"`(.)`", table))
    assert keys == {key for key in KEYS if len(key) == 1}
