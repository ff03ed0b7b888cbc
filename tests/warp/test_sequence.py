"""Sequence files that can be read, and what they say."""

from pathlib import Path

import pytest
from drawn import warps
from hypothesis import HealthCheck, given, settings

from assistant.errors import SequenceError
from assistant.warp.model import Warp, Yarn
from assistant.warp.sequence import dump, load, loads

HEARTH = """\
title: Hearth runner
shafts: 4
start: left
warping: front-to-back
sett: 20
unit: cm
reed: 12.5
reed_width: 90
sley: [2, 0, 1]
heddles: {1: 220, 2: 160}
shaft_1: back
yarns:
  flax: {name: line flax, colour: "#c9b48a", metres_per_kg: 8400}
  rust: {count: 16/2 Ne}
blocks:
  edge: 1 2 1 2
  rose: 1 2 3 4 edge
groups:
  - {name: right edge, thread: edge, yarn: flax}
  - {name: stripe, thread: 2(rose), yarn: "2 flax, 1 rust", times: 3}
  - thread: 1-2-3/4
"""


def read(text: str, file: str = "warp.yaml") -> Warp:
    """The warp this text describes."""
    return loads(text.encode(), file)


def group_names(*groups: str) -> list[str]:
    """What groups are called when they stand under each other like this."""
    lines = "".join(f"  - {group}\n" for group in groups)
    return [group.name for group in read(f"shafts: 4\ngroups:\n{lines}").groups]


def test_everything_a_file_says_is_kept() -> None:
    warp = read(HEARTH)
    assert (warp.title, warp.start, warp.sett, warp.unit, warp.sley) == ("Hearth runner", "left", 20, "cm", (2, 0, 1))
    assert warp.warping == "front-to-back"
    assert (warp.loom.shafts, warp.loom.reed, warp.loom.shaft_1) == (4, 12.5, "back")
    assert (warp.loom.heddles, warp.loom.reed_width) == ({1: 220, 2: 160}, 90)
    rust = Yarn("rust", "rust", count="16/2 Ne")
    assert warp.yarns == {"flax": Yarn("flax", "line flax", "#c9b48a", 8400), "rust": rust}
    assert [group.name for group in warp.groups] == ["right edge", "stripe 1", "stripe 2", "stripe 3", "group"]
    assert [len(group.ends) for group in warp.groups] == [4, 16, 16, 16, 3]
    assert warp.ends == 55
    assert [end.shafts for end in warp.groups[4].ends] == [(1,), (2,), (3, 4)]


def test_what_is_left_out_has_a_sensible_value() -> None:
    warp = read("shafts: 2\ngroups: [{thread: 1 2}]", "weaving/tea towel.yaml")
    assert warp.title == "tea towel"
    assert (warp.start, warp.unit, warp.loom.shaft_1) == ("right", "inch", "front")
    assert (warp.sett, warp.loom.reed, warp.sley, warp.loom.heddles, warp.yarns) == (None, None, (), {}, {})


def test_a_colour_order_begins_anew_with_each_group_and_is_cut_at_its_end() -> None:
    warp = read(HEARTH)
    expected = ["flax", "flax", "rust"] * 5 + ["flax"]
    assert [[end.yarn for end in group.ends] for group in warp.groups[1:4]] == [expected] * 3
    assert {end.yarn for end in warp.groups[4].ends} == {""}


def test_blocks_may_stand_in_any_order() -> None:
    text = "shafts: 4\nblocks: {c: b b, b: 1 a, a: 2 3}\ngroups: [{thread: c}]"
    assert [end.shafts[0] for end in read(text).every_end()] == [1, 2, 3, 1, 2, 3]


def test_a_long_chain_of_blocks_is_read() -> None:
    chain = "".join(f"  b{n}: 1 b{n + 1}\n" for n in range(1000))
    assert read(f"shafts: 4\nblocks:\n{chain}  b1000: 2\ngroups: [{{thread: b0 2}}]").ends == 1002


def test_groups_of_one_name_are_numbered() -> None:
    assert group_names("{name: a, thread: 1}", "{name: b, thread: 1}") == ["a", "b"]
    assert group_names("{name: a, thread: 1, times: 2}", "{name: b, thread: 1}", "{name: a, thread: 2}") == [
        "a 1", "a 2", "b", "a 3",
    ]  # fmt: skip
    assert group_names("thread: 1", "thread: 2") == ["group 1", "group 2"]
    assert group_names("{name: a, thread: 1, times: 2}", "{name: a 3, thread: 1}", "{name: a 02, thread: 1}") == [
        "a 1", "a 2", "a 3", "a 02",
    ]  # fmt: skip


def test_ends_of_repeated_groups_are_held_once() -> None:
    groups = read("shafts: 4\ngroups: [{thread: 1 2, times: 1000}]").groups
    assert all(group.ends is groups[0].ends for group in groups)


def test_a_title_may_be_anything_on_one_line() -> None:
    for title in ("4", "yes", "'1: 2 #3'", '"ø – \\U0001F9F6"', ">-\n  two\n  lines", "|\n  Runner"):
        assert read(f"shafts: 4\ntitle: {title}\ngroups: [{{thread: 1}}]").title in {
            "4", "yes", "1: 2 #3", "ø – 🧶", "two lines", "Runner",
        }  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_files_of_every_editor_are_read(encoding: str, newline: str) -> None:
    text = "shafts: 4\ntitle: Läufer 장미\ngroups:\n- thread: 1 2\n"
    assert loads(text.replace("\n", newline).encode(encoding), "x.yaml") == read(text)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(warps(parts=True))
def test_written_and_read_again_it_is_the_same_warp(warp: Warp) -> None:
    assert loads(dump(warp).encode(), "other.yaml") == warp


def test_it_is_written_as_a_weaver_would_write_it() -> None:
    assert dump(read(HEARTH)) == (
        "title: Hearth runner\nshafts: 4\nshaft_1: back\nstart: left\nwarping: front-to-back\nsett: 20\nunit: cm\n"
        "reed: 12.5\nreed_width: 90\n"
        "sley: [2, 0, 1]\nheddles: {1: 220, 2: 160}\n"
        "yarns:\n  flax: {name: line flax, colour: '#c9b48a', metres_per_kg: 8400}\n"
        "  rust: {name: rust, count: 16/2 Ne}\n"
        "groups:\n- {name: right edge, thread: 2(1 2), yarn: flax}\n"
        "- {name: stripe 1, thread: 2(1 2 3 4 1 2 1 2), yarn: '2 flax, rust'}\n"
        "- {name: stripe 2, thread: 2(1 2 3 4 1 2 1 2), yarn: '2 flax, rust'}\n"
        "- {name: stripe 3, thread: 2(1 2 3 4 1 2 1 2), yarn: '2 flax, rust'}\n"
        "- {name: group, thread: 1 2 3/4}\n"
    )


def test_a_file_is_opened_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "warp.yaml"
    path.write_text(HEARTH, encoding="utf-8")
    assert load(path) == load(str(path)) == read(HEARTH)


def test_a_file_that_cannot_be_opened_is_named(tmp_path: Path) -> None:
    missing = tmp_path / "missing.yaml"
    with pytest.raises(SequenceError) as caught:
        load(missing)
    assert str(caught.value) == (
        f"{missing}: cannot be opened: No such file or directory; check the name, or name one of the examples"
    )
    with pytest.raises(SequenceError, match="cannot be opened: Is a directory"):
        load(tmp_path)
    with pytest.raises(SequenceError, match="cannot be the name of a file"):
        load("\0")
    with pytest.raises(SequenceError, match="cannot be opened: this is no plain file"):
        load("/dev/zero")


HEAD = "shafts: 64\nsett: 20\nyarns: {flax: {}, rust: {}, light-blue: {}}\ngroups:\n"


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("- {name: " + "x" * 199 + ", thread: 1, times: 2}", "name is, with its number, longer than 200 characters"),
        ("- {name: a, thread: 1, times: 34000}", "written out group by group, this is too long"),
        ("- {name: " + "\U0001f9f6" * 180 + ", thread: 1, times: 900}", "written out group by group"),
        ("- {thread: '8000(1 2 3) 1 8000(" + "/".join(map(str, range(1, 65))) + ")'}", "written out group by group"),
    ],
)
def test_no_warp_is_read_that_could_not_be_read_again(text: str, complaint: str) -> None:
    """The journal keeps a warp as it is dumped: one that is begun can be gone on with."""
    with pytest.raises(SequenceError, match=complaint):
        read(HEAD + text)


@pytest.mark.parametrize(
    "text",
    [
        "- {name: " + "x" * 198 + ", thread: 1, times: 2}",
        "- {name: a, thread: 1, times: 1000}",
        "- {name: " + "\U0001f9f6" * 190 + ", thread: 1, times: 300}",
        "- {thread: '" + " ".join(str(n * n % 61 + 1) for n in range(30_000)) + "', yarn: 'rust, 2 light-blue'}",
        "- {name: \"it's \\uFEFF odd\", thread: 16666(1/2 3 4..6), yarn: '2 flax, rust', times: 1}",
    ],
)
def test_the_largest_warps_are_read_again_as_they_were(text: str) -> None:
    warp = read(HEAD + text)
    assert loads(dump(warp).encode(), "other.yaml") == warp
