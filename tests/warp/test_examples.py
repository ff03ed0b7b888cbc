"""The ready examples and the page that explains them."""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from assistant.errors import SequenceError
from assistant.warp.examples import examples, find
from assistant.warp.heddles import heddle_cautions, heddles
from assistant.warp.model import Warp
from assistant.warp.notation import parse
from assistant.warp.sequence import load, loads

EXAMPLES = sorted(examples())
GUIDE = next(iter(examples().values())).with_name("README.md")
FILES = re.findall(r"```yaml\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)


def read(name: str) -> Warp:
    """An example."""
    return load(find(name))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_can_be_threaded(name: str) -> None:
    warp = read(name)
    assert warp.title
    assert all(warp.groups[i].ends for i in range(len(warp.groups)))
    assert heddle_cautions(warp) == ()
    assert find(name).read_text(encoding="utf-8").startswith("# ")


def test_they_are_what_they_say() -> None:
    assert read("first-evening").ends == 24
    assert len(read("first-evening").groups) == 3
    assert (read("hearth-runner").loom.shafts, read("hearth-runner").ends) == (4, 252)
    assert read("winter-blanket").ends == 1224
    assert [len(group.ends) for group in read("winter-blanket").groups] == [12, *[24] * 50, 12]
    assert {end.yarn for end in read("lakeside-scarf").every_end()} == {"slate", "mist", "rust"}
    assert sum(len(end.shafts) == 2 for end in read("window-napkin").every_end()) == 300


def test_two_shafts_of_the_curtain_carry_far_more_than_the_others() -> None:
    """Counted by hand: 25 units with three ends on shafts 1 and 2 each, and two edges of five and five."""
    assert heddles(read("lattice-curtain").every_end()) == {1: 85, 2: 85, 3: 14, 4: 14, 5: 24, 6: 24, 7: 12, 8: 12}


def test_the_curtain_weaves_plain() -> None:
    """Neighbours never share a shed when shaft 1 rises with the even pattern shafts, shaft 2 with the odd ones."""
    rising = [end.shafts[0] in {1, 4, 6, 8} for end in read("lattice-curtain").every_end()]
    assert all(left != right for left, right in pairwise(rising))


def test_an_example_is_found_with_or_without_its_ending() -> None:
    assert find("hearth-runner") == find("hearth-runner.yaml") == examples()["hearth-runner"]


def test_a_file_of_the_weaver_goes_before_an_example(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert find("hearth-runner.yaml").is_absolute()
    (tmp_path / "hearth-runner.yaml").write_text("shafts: 4", encoding="utf-8")
    assert find("hearth-runner.yaml") == Path("hearth-runner.yaml")


def test_otherwise_the_examples_are_listed() -> None:
    for name in ("no-such", "a" * 5000, "\0"):
        with pytest.raises(SequenceError) as caught:
            find(name)
        assert str(caught.value) == f"{name}: there is no such file or example; the examples are: {', '.join(EXAMPLES)}"


def test_the_guide_lists_every_example_with_its_ends() -> None:
    rows = dict(re.findall(r"^\| `([\w-]+)` \| ([\d,]+) ends", GUIDE.read_text(encoding="utf-8"), re.MULTILINE))
    assert {name: int(ends.replace(",", "")) for name, ends in rows.items()} == {n: read(n).ends for n in EXAMPLES}


def test_the_notation_in_the_guide_is_true() -> None:
    rows = re.findall(r"^\| `(.+)` \| ([\d /]+) \|$", GUIDE.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(rows) == 11
    for written, ends in rows:
        assert parse(written, {"edge": parse("1 2 1 2")}, shafts=8).ends == parse(ends).ends


def test_the_file_in_the_guide_can_be_threaded() -> None:
    warp = loads(FILES[0].encode(), "guide.yaml")
    assert (warp.ends, len(warp.groups)) == (248, 14)


def test_the_parts_of_files_in_the_guide_can_be_threaded() -> None:
    warps = [loads(f"shafts: 8\n{text}".encode(), "guide.yaml") for text in FILES[1:]]
    assert [(warp.ends, len(warp.groups)) for warp in warps] == [(30, 1), (199, 13), (66, 3), (90, 1), (73, 3)]


def test_what_is_said_of_the_shawl() -> None:
    """Edges of 19 with one floating, 180 ends of lace and 36 of silk, and 30 in the middle: counted by hand."""
    warp = read("orchard-shawl")
    assert [len(group.ends) for group in warp.groups] == [19, 30, 30, 12, 30, 30, 12, 30, 30, 12, 30, 19]
    assert sum(end.floats for end in warp.every_end()) == 2
    assert warp.groups[1].calls == (6, 12, 18, 24, 30)
    assert {group.sley for group in warp.groups} == {(), (3,)}
    assert sum(end.beam == "silk" for end in warp.every_end()) == 36
