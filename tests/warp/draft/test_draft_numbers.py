"""Threadings as plain lists of numbers."""

import pytest
from drawn import remarks, threadings
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import DraftError
from assistant.warp.draft import AskedOf, read_list
from assistant.warp.notation import Ends

NUMBERS = "write shafts as numbers with spaces, commas or lines between, 3/7 for an end on two"


def read(text: str) -> tuple[Ends, tuple[str, ...]]:
    """The shafts of every end, and what was remarked on."""
    draft = read_list(text.encode(), "list.csv")
    return tuple(end.shafts for end in draft.ends), remarks(draft)


@pytest.mark.parametrize(
    "text",
    [
        "1 2 3/7 4",
        "1\n2\n3/7\n4\n",
        "1\r\n2\r\n3/7\r\n4\r\n",
        "1,2,3/7,4",
        "1;2;3/7;4;",
        "1-2-3/7-4",
        "  1, 2\n\n 3/7,4 ",
        '"1","2","3/7","4"',
        "Threading\n1 2 3/7 4",
        "shaft\n1\n2\n3/7\n4",
        "end,shaft\n1,1\n2,2\n3,3/7\n4,4",
        "Shafts;Yarn\n1;red\n2;red\n3/7;blue\n4;blue",
        "\ufeff1\t2\t3/7\t4",
    ],
)
def test_lists_as_weavers_and_spreadsheets_write_them(text: str) -> None:
    ends, warnings = read(text)
    assert ends == ((1,), (2,), (3, 7), (4,))
    assert warnings == ("no end is on shaft 5, 6",)


def test_a_heading_with_numbers_in_it_is_remarked_on() -> None:
    assert read("Draft 12\n1 2") == (((1,), (2,)), ("the first line is taken for a heading: 'Draft 12'",))


def test_ends_numbered_without_a_heading_are_remarked_on() -> None:
    said = "every line begins with its own number; if that is no shaft, put the line end,shaft before them"
    assert read("1,4\n2,3\n3,2\n4,1\n")[1] == (said,)


def test_ends_without_a_shaft_are_left_out() -> None:
    assert read("1 0 2") == (((1,), (2,)), ("not threaded, so left out: end 2 (1 of 3)",))


COMPACT = (
    "digits without a space between, as in {}, are taken for an end each; "
    "--shafts with 10 or more takes them for numbers"
)


@pytest.mark.parametrize(
    ("text", "shafts", "ends", "said"),
    [
        ("1234 1432", None, "12341432", COMPACT.format(1234)),
        ("1234 1432", 4, "12341432", ""),
        ("12 34 12 34", None, "12341234", COMPACT.format(12)),
        ("12 1 2 11 10 9 8 7 6 5 4 3", None, "", ""),
        ("12 34", 34, "", "no end is on shaft 1 to 11, 13 to 33"),
    ],
)
def test_digits_without_spaces_are_ends_where_shafts_are_few(
    text: str, shafts: int | None, ends: str, said: str
) -> None:
    draft = read_list(text.encode(), "list.csv", AskedOf(shafts=shafts))
    expected = [(int(end),) for end in ends] or [(int(end),) for end in text.split()]
    assert [end.shafts for end in draft.ends] == expected
    assert [remark for remark in remarks(draft) if said in remark] == ([said] if said else [])


def test_ever_so_many_digits_without_a_space_are_ends() -> None:
    digits = "1234" * 2000
    draft = read_list(digits.encode(), "list.csv")
    assert len(draft.ends) == len(digits)
    assert COMPACT.format(digits) in remarks(draft)


def test_floating_and_shared_ends_may_be_written() -> None:
    draft = read_list(b"~ 1*2 2 3 4 ~", "list.csv")
    assert [(end.shafts, end.joins) for end in draft.ends] == [
        ((), False), ((1,), False), ((1,), True), ((2,), False), ((3,), False), ((4,), False), ((), False),
    ]  # fmt: skip


def test_a_list_is_called_after_its_file() -> None:
    draft = read_list(b"1 2", "drafts/Tea towel.txt")
    assert (draft.title, draft.shafts, draft.yarns, draft.sett) == ("Tea towel", 2, {}, None)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "list.csv: no end of this draft is threaded; look whether it is a threading at all"),
        (
            "1 2\n3 x",
            "list.csv:2:3: an end is 'x'; "
            "write shafts as numbers with spaces, commas or lines between, 3/7 for an end on two",
        ),
        ("1 2 x 4", "list.csv:1:5: an end is 'x'; " + NUMBERS),
        ("x 1 2 3", "list.csv:1:1: an end is 'x'; " + NUMBERS),
        ("end,shaft\n1,1\n2,x", "list.csv:3:3: an end is 'x'; " + NUMBERS),
        ("1234 1032", "list.csv:1:7: there is no shaft 0; shafts are numbered from 1"),
        ("1 65", "list.csv: there is an end on shaft 65; the most shafts are 64"),
        ("1 " * 100_001, "list.csv:1: more than 100,000 ends; look whether it is the draft"),
    ],
    ids=["empty", "word", "x", "x first", "x in a column", "no shaft", "shaft 65", "too many"],
)
def test_what_is_no_threading_is_refused(text: str, said: str) -> None:
    with pytest.raises(DraftError) as caught:
        read(text)
    assert str(caught.value) == said


@given(threadings(min_size=1), st.sampled_from([" ", ",", ";", "\n", ", ", "\t"]))
def test_any_threading_comes_back(ends: Ends, between: str) -> None:
    text = between.join("/".join(map(str, end)) for end in ends)
    assert tuple(end.shafts for end in read_list(text.encode(), "list.csv", AskedOf(shafts=64)).ends) == ends


@given(st.one_of(st.binary(), st.text("0123456789/,;- \n").map(str.encode)))
def test_any_bytes_are_a_draft_or_one_line(data: bytes) -> None:
    try:
        said = " ".join(remarks(read_list(data, "f.txt")))
    except DraftError as error:
        said = str(error)
    assert "\n" not in said
