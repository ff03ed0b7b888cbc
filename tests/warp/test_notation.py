"""The shorthand of threadings."""

from collections.abc import Mapping

import pytest
from drawn import groups, threadings
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import SequenceError
from assistant.warp.model import End, Group
from assistant.warp.notation import Ends, is_name, names, notation, parse, period
from assistant.warp.threads import Threaded

BLOCKS = {"edge": parse("1 2"), "rose": parse("1 2 3 4")}


def singles(*shafts: int) -> Ends:
    """Ends on one shaft each."""
    return tuple((shaft,) for shaft in shafts)


@pytest.mark.parametrize(
    ("text", "shafts"),
    [
        ("1 2 3 4", (1, 2, 3, 4)),
        ("1-2-3-4", (1, 2, 3, 4)),
        ("1,2,3 , 4", (1, 2, 3, 4)),
        ("1 - 2\n3\t4", (1, 2, 3, 4)),
        ("  1 2  ", (1, 2)),
        ("1..4", (1, 2, 3, 4)),
        ("4 .. 2", (4, 3, 2)),
        ("3..3", (3,)),
        ("1..3 2..1", (1, 2, 3, 2, 1)),
        ("3(1 2)", (1, 2, 1, 2, 1, 2)),
        ("2(1 2(3 4))", (1, 3, 4, 3, 4, 1, 3, 4, 3, 4)),
        ("1(1)", (1,)),
        ("edge, 2(rose) 8", (1, 2, 1, 2, 3, 4, 1, 2, 3, 4, 8)),
        ("007", (7,)),
        ("", ()),
    ],
)
def test_shorthand_is_written_out(text: str, shafts: tuple[int, ...]) -> None:
    assert parse(text, BLOCKS).shafts == singles(*shafts)


def test_one_end_may_be_carried_by_several_shafts() -> None:
    assert parse("3/7 2 1 / 4/6").shafts == ((3, 7), (2,), (1, 4, 6))


@pytest.mark.parametrize(
    ("text", "ends", "calls"),
    [
        ("~ 1 2 ~", "~ 1 2 ~", ()),
        ("~*2 1", "~ ~ 1", ()),
        ("1*2 2 3/7*3", "1 1+ 2 3/7 3/7+ 3/7+", ()),
        ("1..3 * 2", "1 1+ 2 2+ 3 3+", ()),
        ("1..4 mirror(1..3)", "1 2 3 4 3 2 1", ()),
        ("mirror(1*2 2 mirror(3 4) rose)", "4 3 2 1 3 4 2 1 1+", ()),
        ("2(1 mirror(2 3)) mirror(2(1 2))", "1 3 2 1 3 2 2 1 2 1", ()),
        ("1 3 1 3 1 2; 1 4 1 4 1 2", "1 3 1 3 1 2 1 4 1 4 1 2", (6, 12)),
        ("2(1 2; 3)", "1 2 3 1 2 3", (2, 5, 6)),
        ("1 2 3 4;", "1 2 3 4", (4,)),
        ("1*2 2; 3", "1 1+ 2 3", (3, 4)),
        ("1 mirror(2 3; 4 1)", "1 1 4 3 2", (3, 5)),
        ("mirror(1 2;) 3", "2 1 3", (3,)),
        ("1;mirror(2 3;)", "1 3 2", (1, 3)),
        ("3(1 2;)", "1 2 1 2 1 2", (2, 4, 6)),
        ("1; unit 2", "1 3 4 2", (1, 3, 4)),
    ],
)
def test_ends_float_share_heddles_and_are_called_together(text: str, ends: str, calls: tuple[int, ...]) -> None:
    """A + stands behind an end that joins the one before it."""
    threads = parse(text, {**BLOCKS, "unit": parse("3 4;")})
    assert " ".join(_told(end) for end in threads.ends) == ends
    assert threads.calls == calls


def _told(end: End) -> str:
    return "~" if end.floats else "/".join(map(str, end.shafts)) + "+" * end.joins


@pytest.mark.parametrize("shafts", [4, 8, 9])
def test_on_nine_shafts_or_fewer_ends_need_no_space_between(shafts: int) -> None:
    assert parse("1234 1432", shafts=shafts).shafts == singles(1, 2, 3, 4, 1, 4, 3, 2)
    assert parse("3(12 34) 1,23", shafts=shafts).shafts == singles(*(1, 2, 3, 4) * 3, 1, 2, 3)
    assert parse("10(1) 12(2)", shafts=shafts).count == 22
    assert parse("007 1" if shafts > 6 else "004 1", shafts=shafts).count == 2


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "1 1234",
            "3: there is no shaft 1234; this loom has shafts 1 to 10, "
            "and with ten or more ends need a space between: 1 2 3 4",
        ),
        (
            "1 17",
            "3: there is no shaft 17; this loom has shafts 1 to 10, "
            "and with ten or more ends need a space between: 1 7",
        ),
        ("1 20", "3: there is no shaft 20; this loom has shafts 1 to 10"),
        ("1 1234567", "3: '1234567' is too large a number; the largest is 999,999"),
    ],
)
def test_on_ten_or_more_they_are_refused_with_the_reason(text: str, complaint: str) -> None:
    assert parse("10 1", shafts=10).shafts == singles(10, 1)
    with pytest.raises(SequenceError) as caught:
        parse(text, shafts=10)
    assert str(caught.value) == complaint


@pytest.mark.parametrize("name", ["장미", "rosée", "गुलाब", "_2", "Straße"])
def test_names_of_blocks_may_be_in_any_script(name: str) -> None:
    assert is_name(name)
    assert parse(f"1 {name}, 2", {name: parse("3 4")}).shafts == singles(1, 3, 4, 2)


# From memory, as handbooks give them: straight draw, point draw and rosepath in Marguerite Porter Davison,
# "A Handweaver's Pattern Book"; M's and O's and Bronson lace units in Mary Meigs Atwater,
# "The Shuttle-Craft Book of American Hand-Weaving".
@pytest.mark.parametrize(
    ("text", "shafts"),
    [
        ("3(1..4)", (1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4)),
        ("2(1..4 3 2) 1", (1, 2, 3, 4, 3, 2, 1, 2, 3, 4, 3, 2, 1)),
        ("2(1..4, 1 4 3 2)", (1, 2, 3, 4, 1, 4, 3, 2, 1, 2, 3, 4, 1, 4, 3, 2)),
        ("2(1 2) 2(3 4), 2(1 3) 2(2 4)", (1, 2, 1, 2, 3, 4, 3, 4, 1, 3, 1, 3, 2, 4, 2, 4)),
        ("2(1 3) 1 2, 2(1 4) 1 2", (1, 3, 1, 3, 1, 2, 1, 4, 1, 4, 1, 2)),
    ],
    ids=["straight draw", "point draw", "rosepath", "M's and O's", "Bronson lace"],
)
def test_published_threadings(text: str, shafts: tuple[int, ...]) -> None:
    assert parse(text).shafts == singles(*shafts)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("1,,2", "3: a shaft is missing before this comma; write the shaft, or take the comma out"),
        ("1 - , 2", "5: a shaft is missing before this comma; write the shaft, or take the comma out"),
        ("-1", "1: a shaft is missing before this hyphen; write the shaft, or take the hyphen out"),
        ("1 2,", "4: a shaft is missing after this comma; write the shaft, or take the comma out"),
        ("2(1 2 -)", "7: a shaft is missing after this hyphen; write the shaft, or take the hyphen out"),
        ("2(, 1)", "3: a shaft is missing before this comma; write the shaft, or take the comma out"),
        ("1 (2 3)(4)", "3: this bracket has no count; put how many times right before it, as in 2(…)"),
        ("(1 2)", "1: this bracket has no count; put how many times right before it, as in 2(…)"),
        ("rose(1 2)", "5: this bracket has no count; put how many times right before it, as in 2(…)"),
        ("2(1 2", "1: this bracket is never closed; put a ) where the repeat ends"),
        ("1 2)", "4: this ) has no bracket to close; take it out, or open one before it, as in 3(1 2)"),
        ("1 2( )", "3: nothing stands in these brackets; write the ends to repeat"),
        ("0(1)", "1: 0 times leaves nothing; write how many times, or take it out"),
        ("3(1 2)4", "7: nothing separates this from the piece before; put a space between; 3(…) repeats"),
        ("2rose", "2: nothing separates this from the piece before; put a space between; 3(…) repeats"),
        ("1 2 0", "5: there is no shaft 0; shafts are numbered from 1"),
        ("1 9 2", "3: there is no shaft 9; this loom has shafts 1 to 8"),
        ("5..9", "4: there is no shaft 9; this loom has shafts 1 to 8"),
        ("1 3/9", "5: there is no shaft 9; this loom has shafts 1 to 8"),
        ("1 3/4/3", "3: this end is on one shaft twice: '3/4/3'; name each shaft once"),
        ("1 1234567(2)", "3: '1234567' is too large a number; the largest is 999,999"),
        ("1 roze", "3: there is no block called 'roze'; did you mean 'rose'?"),
        ("1 Mirror(1 2)", "3: there is no block called 'Mirror'; did you mean 'mirror'?"),
        (
            "1 2* 3",
            "4: this * does not stand between a shaft and a number; write 3*2 for two ends in one heddle on shaft 3",
        ),
        ("1 tulip", "3: there is no block called 'tulip'; known here: edge, rose"),
        ("1..", "2: these dots do not join two shafts; write 1..8 to count from 1 to 8"),
        ("1...4", "2: these dots do not join two shafts; write 1..8 to count from 1 to 8"),
        ("1.5", "2: these dots do not join two shafts; write 1..8 to count from 1 to 8"),
        ("3/", "2: this / does not join two shafts; write 3/7 for one end on shafts 3 and 7"),
        ("; 1 2", "1: a shaft is missing before this semicolon; write the shaft, or take the semicolon out"),
        ("1 2;; 3", "5: a shaft is missing before this semicolon; write the shaft, or take the semicolon out"),
        ("1 2; , 3", "6: a shaft is missing before this comma; write the shaft, or take the comma out"),
        ("1 2, ; 3", "6: a shaft is missing before this semicolon; write the shaft, or take the semicolon out"),
        ("2(; 1)", "3: a shaft is missing before this semicolon; write the shaft, or take the semicolon out"),
        ("mirror(1 2", "1: this bracket is never closed; put a ) where the repeat ends"),
        ("1 mirror()", "3: nothing stands in these brackets; write the ends to repeat"),
        ("1 mirror (2)", "3: a bracket is missing after mirror; write it right behind, as in mirror(1 2)"),
        (
            "3 4*",
            "4: this * does not stand between a shaft and a number; write 3*2 for two ends in one heddle on shaft 3",
        ),
        (
            "2(1 2)*2",
            "7: this * does not stand between a shaft and a number; write 3*2 for two ends in one heddle on shaft 3",
        ),
        (
            "rose*2",
            "5: this * does not stand between a shaft and a number; write 3*2 for two ends in one heddle on shaft 3",
        ),
        ("3 4*0", "5: 0 times leaves nothing; write how many times, or take it out"),
        ("3/~", "2: this / does not join two shafts; write 3/7 for one end on shafts 3 and 7"),
        ("1*999999", "1: with this there are more than 100,000 ends; look for a number that is too large"),
        ("~~", "2: nothing separates this from the piece before; put a space between; 3(…) repeats"),
        ("1234 1792", "8: there is no shaft 9; this loom has shafts 1 to 8"),
        ("1 2034", "4: there is no shaft 0; shafts are numbered from 1"),
        ("12..15", "1: there is no shaft 12; this loom has shafts 1 to 8"),
        ("12/3", "1: there is no shaft 12; this loom has shafts 1 to 8"),
        ("1 23*2", "5: here *2 may be meant for one end or for all of them; put spaces between the ends, as in 1 2*2"),
        ("1–2", "2: '–2' cannot be read; write 1 2 3, 1..8, 3(1 2), 3/7 or the name of a block"),
        ("1 ２", "3: '２' cannot be read; write 1 2 3, 1..8, 3(1 2), 3/7 or the name of a block"),
        ("99999(1 2)", "1: with this there are more than 100,000 ends; look for a number that is too large"),
    ],
)
def test_what_cannot_be_read_is_pointed_at(text: str, complaint: str) -> None:
    with pytest.raises(SequenceError) as caught:
        parse(text, BLOCKS, shafts=8)
    assert str(caught.value) == complaint


def test_without_blocks_a_name_is_explained() -> None:
    with pytest.raises(SequenceError, match="write shafts as numbers, or add the block under blocks"):
        parse("rose")


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("999999(" * 9 + "1" + ")" * 9, "more than 100,000 ends"),
        ("2(" * 10_000 + "1" + ")" * 10_000, "nested more than 50 deep"),
        ("1..999999 1..999999", "more than 100,000 ends"),
        ("9" * 100_000, "too large a number"),
    ],
)
def test_no_text_grows_beyond_the_most_ends(text: str, complaint: str) -> None:
    with pytest.raises(SequenceError, match=complaint):
        parse(text)


def test_the_most_ends_are_not_too_many() -> None:
    threading = parse("2(50000(1))")
    assert threading.count == 100_000
    assert parse(notation(threading)) == threading


@given(groups())
def test_printed_and_parsed_again_it_is_the_same(group: Group) -> None:
    threading = Threaded.of(group.ends, group.calls)
    again = parse(notation(threading))
    assert (again.ends, again.calls) == (group.ends, group.calls)


@given(threadings(), st.integers(2, 20))
def test_repeats_too(ends: Ends, times: int) -> None:
    once, often = written(ends), written(ends * times)
    assert parse(often).shafts == ends * times
    assert len(often) <= len(once) + len("20()")


def written(ends: Ends) -> str:
    """Ends in the notation."""
    return notation(Threaded.of(End(shafts) for shafts in ends))


@pytest.mark.parametrize(
    ("ends", "text"),
    [
        (singles(1, 2, 3, 4), "1 2 3 4"),
        (singles(*range(1, 9), *range(7, 0, -1)), "1..8 7..1"),
        (singles(1, 2, 1, 2, 1, 2), "3(1 2)"),
        (((1, 5), (2, 5)), "1/5 2/5"),
        (singles(1, 2, 1, 2, 1), "1 2 1 2 1"),
        (((), (1,), ()), "~ 1 ~"),
        ((), ""),
    ],
)
def test_it_is_printed_as_a_weaver_would_write_it(ends: Ends, text: str) -> None:
    assert written(ends) == text


def complaint(text: str, blocks: Mapping[str, Threaded]) -> SequenceError | None:
    """What is said about a text that cannot be read."""
    try:
        parse(text, blocks)
    except SequenceError as error:
        return error
    return None


@given(st.text())
def test_any_text_gives_ends_or_a_complaint_about_one_place_in_it(text: str) -> None:
    error = complaint(text, BLOCKS)
    assert error is None or (1 <= error.column <= len(text) and error.todo)


@given(st.text(alphabet="1234 ,;-()./*~ab\n"))
def test_so_does_any_text_that_looks_like_notation(text: str) -> None:
    blocks = {"a": parse("1"), "b": parse("2 3")}
    if error := complaint(text, blocks):
        assert 1 <= error.column <= len(text)
    else:
        threading = parse(text, blocks)
        again = parse(notation(threading))
        assert (again.ends, again.calls) == (threading.ends, threading.calls)


def test_names_used_are_found_where_they_stand_first() -> None:
    assert names("1 rose, 3(edge rose)") == {"rose": 2, "edge": 10}


@given(st.lists(st.sampled_from("ab"), max_size=12))
def test_the_period_is_the_smallest(items: list[str]) -> None:
    holds = [n for n in range(1, len(items) + 1) if items[n:] == items[: len(items) - n]]
    assert period(items) == min(holds, default=1)
