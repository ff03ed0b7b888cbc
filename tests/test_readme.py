"""What the README, the handbook and the guide tell a newcomer to type is done, and their links lead somewhere."""

import re
import shlex
from pathlib import Path
from tempfile import TemporaryFile

import pytest

from assistant import cli
from assistant.senses.pedal.keys import BY_KEY
from assistant.words.language import load

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = sorted(
    page for folder in (".", "docs", "models", "sequences", "tests/bench") for page in (ROOT / folder).glob("*.md")
)
HANDBOOK = [page for page in PAGES if f"](docs/{page.name})" in README and page.parent == ROOT / "docs"]
FIGURES = {"hearing.md", "finding.md"}  # for whom the handbook is not enough
THREE_SCREENS = 150  # lines
LARGEST = 150_000  # bytes of a picture
LINE = re.compile(r"^ +heddlecall (.*)$", re.MULTILINE)
TYPED = {line: page for page in (ROOT / "README.md", *HANDBOOK) for line in LINE.findall(page.read_text("utf-8"))}
SITTING = ("wind", "heddles", "thread", "check", "sley", "tie", "write")
QUIETLY = ["--mute", "--deaf", "--plain"]
ELSEWHERE = (  # what needs devices, recordings, a network or minutes has tests of its own
    *(
        "hear",
        "pedal",
        "speak",
        "teach",
        "doctor",
        "models add",
        "rehearse hearth-runner",
        "thread first-evening --share",
        "voices --play",
        "voices --check",
    ),
    *("thread first-evening --weaver", "thread first-evening --headset"),
)
DRAFT = (
    b"[WIF]\nVersion=1.1\n[CONTENTS]\nTHREADING=yes\n[WEAVING]\nShafts=2\n[WARP]\nThreads=2\n[THREADING]\n1=1\n2=2\n"
)

pytestmark = pytest.mark.skipif(not TYPED, reason="no README beside the tests")


@pytest.mark.parametrize("line", TYPED)
def test_every_command_that_is_told_of_is_one(line: str) -> None:
    words = shlex.split(line)
    assert cli.parsed(words)[0].name in words


def test_every_command_that_is_told_of_does_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One after the other, as they are told of, in a home of their own; who sits down leaves again."""
    monkeypatch.chdir(tmp_path)
    for name in ("HOME", "HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    Path("draft.wif").write_bytes(DRAFT)
    for line in (line for line in TYPED if not line.startswith(ELSEWHERE)):
        words = shlex.split(line)
        with TemporaryFile("w+") as stdin, monkeypatch.context() as patch:
            stdin.write("q\n" if words[0] in SITTING else "")
            stdin.seek(0)
            patch.setattr("sys.stdin", stdin)
            assert cli.main([*words, *QUIETLY] if words[0] in SITTING else words) in done(words), line
        capsys.readouterr()


def done(words: list[str]) -> tuple[int, ...]:
    """The exit codes: 2 where a program does not answer."""
    return (2,) if words[0] == "find" and "--json" in words else (0,)


def test_the_readme_shows_the_call_sheet_it_promises(capsys: pytest.CaptureFixture[str]) -> None:
    assert "calls first-evening" in TYPED
    assert cli.main(["calls", "first-evening"]) == 0
    assert "right edge: 4 ends" in capsys.readouterr().out


def test_the_handbook_shows_the_plan_of_a_cloth_as_it_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    [line] = [line for line in TYPED if "--hem" in line]
    [shown] = re.findall(r"^```\n(.*?)^```", TYPED[line].read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    assert cli.main(shlex.split(line)) == 0
    assert shown in capsys.readouterr().out


def test_the_table_names_the_words_and_keys_that_work() -> None:
    table = README[README.index("| You mean") : README.index("A number is listened for only")]
    commands = load("en").commands
    rows = [row.split("|") for row in table.splitlines()[2:] if row.startswith("|")]
    said = {word.strip() for row in rows for word in re.split("[,;]", row[2]) if word.strip()}
    said -= {"then a number", "then its number", "once all is threaded"}
    assert said == {word for spoken in commands.values() for word in spoken}
    keys = set(re.findall(r"`(.)`", table))
    assert keys == {key for key in BY_KEY if len(key) == 1}


def test_the_readme_is_read_in_three_screens() -> None:
    assert len(README.splitlines()) <= THREE_SCREENS


def test_every_page_of_the_handbook_is_found_from_the_readme_and_leads_back() -> None:
    assert {page.name for page in HANDBOOK} == {page.name for page in PAGES if page.parent == ROOT / "docs"}
    for page in HANDBOOK:
        assert page.name in FIGURES or "[Handbook](../README.md#the-handbook)" in page.read_text(encoding="utf-8")


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
        assert target.suffix != ".png" or target.stat().st_size < LARGEST, link
