"""What the README and the guide tell a newcomer to type is understood, and their links lead somewhere."""

import re
import shlex
from pathlib import Path

import pytest

from assistant import cli
from assistant.senses.pedal.keys import BY_KEY
from assistant.words.language import load

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = sorted(
    page for folder in (".", "docs", "models", "sequences", "tests/bench") for page in (ROOT / folder).glob("*.md")
)
TYPED = re.findall(r"^ +heddlecall (.*)$", README, re.MULTILINE)

pytestmark = pytest.mark.skipif(not TYPED, reason="no README beside the tests")


@pytest.mark.parametrize("line", TYPED)
def test_every_command_in_the_readme_is_one(line: str) -> None:
    words = shlex.split(line)
    assert cli.parsed(words)[0].name in words


def test_the_readme_shows_the_call_sheet_it_promises(capsys: pytest.CaptureFixture[str]) -> None:
    assert "calls first-evening" in TYPED
    assert cli.main(["calls", "first-evening"]) == 0
    assert "right edge: 4 ends" in capsys.readouterr().out


def test_the_table_names_the_words_and_keys_that_work() -> None:
    table = README[README.index("| You mean") : README.index("A number is listened for only")]
    commands = load("en").commands
    rows = [row.split("|") for row in table.splitlines()[2:] if row.startswith("|")]
    said = {word.strip() for row in rows for word in re.split("[,;]", row[2]) if word.strip()}
    said -= {"then a number", "then its number", "once all is threaded"}
    assert said == {word for spoken in commands.values() for word in spoken}
    keys = set(re.findall(r"`(.)`", table))
    assert keys == {key for key in BY_KEY if len(key) == 1}


def anchors(file: Path) -> set[str]:
    """What a link into it may name: its headings in small letters, without punctuation, with hyphens for spaces."""
    headings = re.findall(r"^#+ (.*)$", file.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_in_a_page_leads_somewhere(page: Path) -> None:
    links = re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8"))
    for link in (link for link in links if "://" not in link):
        name, _, anchor = link.partition("#")
        target = page.parent / name if name else page
        assert target.exists(), link
        assert not anchor or anchor in anchors(target), link
