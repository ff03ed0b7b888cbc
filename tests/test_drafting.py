"""Drafts in files, in and out."""

from pathlib import Path

import pytest

from assistant.drafting import export_draft, import_draft
from assistant.errors import DraftError, OutfileError
from assistant.warp.examples import examples
from assistant.warp.sequence import load
from assistant.words import language
from assistant.words.printed import Printed

ENGLISH = Printed(language.load("en"))

MEADOW = Path(__file__).parent / "warp" / "draft" / "meadow-towel.wif"


def test_a_draft_becomes_a_sequence_file(tmp_path: Path) -> None:
    out = tmp_path / "meadow.yaml"
    assert import_draft(MEADOW, "right", out, ENGLISH) == [
        f"{MEADOW}: 76 ends on 4 shafts in 2 yarns, end 1 at the right",
        "left edge, from end 76: white (#ffffff) 2 1 2 1 2 1 2 1 …",
        "right edge, up to end 1: … white (#ffffff) 2 1 2 1 2 1 2 1",
        f"written to {out}: 5 groups; compare the edges with your draft",
    ]
    assert out.read_text() == (
        "# Read from meadow-towel.wif; its end 1 lies at the right edge.\n"
        "\n"
        "title: Meadow towel\n"
        "shafts: 4\n"
        "start: right\n"
        "sett: 20\n"
        "unit: inch\n"
        "yarns:\n"
        "  white: {name: white, colour: '#ffffff'}\n"
        "  dark-green: {name: dark green, colour: '#00661a'}\n"
        "groups:\n"
        "  - {name: right edge, thread: 4(1 2), yarn: white}\n"
        '  - {name: pattern, thread: 2(1 3 1 3 1 2 4 2 4 2), yarn: "10 dark-green, 10 white", times: 3}\n'
        "  - {name: left edge, thread: 4(1 2), yarn: white}\n"
    )


def test_warnings_are_told(tmp_path: Path) -> None:
    file = tmp_path / "towel.txt"
    file.write_text("1 2 3 0 5")
    lines = import_draft(file, "left", tmp_path / "towel.yaml", ENGLISH)
    assert lines[3:-1] == ["warning: not threaded, so left out: end 4 (1 of 5)", "warning: no end is on shaft 4"]
    assert load(tmp_path / "towel.yaml").start == "left"


@pytest.mark.parametrize("name", examples())
def test_out_and_in_again(tmp_path: Path, name: str) -> None:
    before = load(examples()[name])
    export_draft(examples()[name], tmp_path / "out.wif", ENGLISH)
    import_draft(tmp_path / "out.wif", before.start, tmp_path / "back.yaml", ENGLISH)
    after = load(tmp_path / "back.yaml")
    assert [end.shafts for end in after.every_end()] == [end.shafts for end in before.every_end()]
    assert (after.title, after.start, after.sett, after.unit) == (before.title, before.start, before.sett, before.unit)


def test_a_draft_is_known_by_its_content_too(tmp_path: Path) -> None:
    file = tmp_path / "meadow.txt"
    file.write_bytes(b"\xff\xfe" + MEADOW.read_text().encode("utf-16-le"))
    assert "76 ends" in import_draft(file, "right", tmp_path / "meadow.yaml", ENGLISH)[0]


def test_yarns_without_colour_are_told_when_written(tmp_path: Path) -> None:
    file = tmp_path / "towel.yaml"
    file.write_text("shafts: 2\nyarns: {flax: {name: line flax}}\ngroups: [{thread: 1 2, yarn: flax}]")
    assert export_draft(file, tmp_path / "towel.wif", ENGLISH) == [
        f"written to {tmp_path / 'towel.wif'}: 2 ends on 2 shafts, end 1 at the right; no groups",
        "warning: line flax has no colour, so its ends have none in the draft",
    ]


def test_a_file_is_replaced_only_when_that_is_said(tmp_path: Path) -> None:
    out = tmp_path / "meadow.yaml"
    out.write_text("{shafts: 2, groups: [{thread: 1 2}]}")
    with pytest.raises(OutfileError, match="is there already; choose another name, or write over it with --replace"):
        import_draft(MEADOW, "right", out, ENGLISH)
    assert load(out).ends == 2
    import_draft(MEADOW, "right", out, ENGLISH, replace=True)
    assert load(out).ends == 76
    assert list(tmp_path.iterdir()) == [out]


def test_files_that_cannot_be_opened_or_written_are_one_line(tmp_path: Path) -> None:
    with pytest.raises(DraftError, match=r"gone\.wif: cannot be opened: No such file or directory; check the name"):
        import_draft(tmp_path / "gone.wif", "right", tmp_path / "out.yaml", ENGLISH)
    with pytest.raises(OutfileError, match=r"there is no folder \S+nowhere; make it first"):
        import_draft(MEADOW, "right", tmp_path / "nowhere" / "out.yaml", ENGLISH)
    (tmp_path / "long.txt").write_text("1 2 " * 60_000)
    with pytest.raises(DraftError, match=r"long\.txt:1: more than 100,000 ends; look whether it is the draft"):
        import_draft(tmp_path / "long.txt", "right", tmp_path / "out.yaml", ENGLISH)
