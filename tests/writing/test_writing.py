"""A threading is taken down row by row, and what is told of it is what stands there."""

import random
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from functools import cache

import pytest
from on_paper import RUNNER, AtTheTable, Comparing, Keys, Paper, Step, many_rows, presses, steps

from assistant.errors import SequenceError
from assistant.warp.model import End
from assistant.warp.sequence import loads
from assistant.words.keypad import MEANINGS
from assistant.words.language import codes, load
from assistant.writing.moves import BY_VOICE, HEARD, ON_KEYPAD, Move, MoveKind
from assistant.writing.sequence_file import sequence_file
from assistant.writing.slip import Asked, PaperSlip
from assistant.writing.typing import Typing, commands

MOST_PRESSES = 120  # for a threading of 300 ends with repeats


def shafts(table: AtTheTable) -> list[tuple[int, ...]]:
    """What stands written, as its sequence file is read."""
    return [end.shafts for end in ends(table)]


def ends(table: AtTheTable) -> list[End]:
    return every_end(table.slip)


def every_end(slip: PaperSlip) -> list[End]:
    return [*loads(sequence_file(slip, "rug").encode(), "rug.yaml").every_end()]


def on(*numbers: int) -> list[tuple[int, ...]]:
    return [(number,) for number in numbers]


def began(shafts: int = 8, code: str = "en") -> AtTheTable:
    table = AtTheTable(code)
    for line in (str(shafts), "1"):
        table.line(line)
    return table


def test_a_threading_of_300_ends_with_repeats_takes_at_most_120_presses_of_a_keypad() -> None:
    keys = [*presses(RUNNER)]
    table = AtTheTable()
    table.press(keys)
    assert table.slip.done
    assert shafts(table) == on(*RUNNER.ends)
    assert len(RUNNER.ends) == 300
    assert len(keys) <= MOST_PRESSES


def test_what_is_written_is_told_at_once_and_stands_in_the_file_as_it_was_told() -> None:
    table = AtTheTable()
    told = [
        table.line(line)
        for line in (
            "8",
            "1",
            "1432",
            "+3",
            "",
            "name rose",
            "1..8",
            "mirror",
            "colour 2 flax, 1 rust",
            "",
            "+ 2",
            "where",
        )
    ]
    assert told == [
        "At which edge does end 1 lie, seen from the front? 1: right. 2: left.",
        "End 1 lies at the right edge. The next row.",
        "1, 4, 3, 2",
        "3 times. 12 ends in all.",
        "Group 1: 12 ends. Group 2.",
        "Group 2: rose.",
        "1, 2, 3, 4, 5, 6, 7, 8",
        "Mirrored: 7, 6, 5, 4, 3, 2, 1",
        "Yarns: 2 flax, 1 rust.",
        "rose: 15 ends. Group 3.",
        "2 times. 42 ends in all.",
        "Group 4: 0 of 42 ends in all. Group 4 has no row yet.",
    ]
    assert sequence_file(table.slip, "rug").splitlines()[-3:] == [
        "groups:",
        "- {thread: 3(1 4 3 2)}",
        "- {name: rose, thread: 1..8 7..1, yarn: '2 flax, 1 rust', times: 2}",
    ]


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("1432", on(1, 4, 3, 2)),
        ("1 4 3 2", on(1, 4, 3, 2)),
        ("8..1", on(*range(8, 0, -1))),
        ("3(1 2)", on(1, 2, 1, 2, 1, 2)),
        ("3(12) 4", on(1, 2, 1, 2, 1, 2, 4)),
        ("1/5 2/6", [(1, 5), (2, 6)]),
        ("13/54", [(1,), (3, 5), (4,)]),
        ("1..48", on(1, 2, 3, 4, 8)),
    ],
)
def test_a_row_is_typed_compactly_or_as_in_a_file(typed: str, written: list[tuple[int, ...]]) -> None:
    table = began()
    table.line(typed)
    assert shafts(table) == written


def test_on_ten_shafts_and_more_numbers_are_kept_apart_and_the_point_does_it() -> None:
    table = began(12)
    table.press("1.12.3..6")
    table.press(["enter"])
    assert shafts(table) == on(1, 12, 3, 4, 5, 6)
    with pytest.raises(SequenceError, match="1432"):
        table.line("1432")


def test_that_is_the_last_row_or_where_a_group_has_just_begun_the_last_group() -> None:
    table = began()
    for line in ("12", "34", "+2"):
        table.line(line)
    assert shafts(table) == on(1, 2, 3, 4, 3, 4)
    for line in ("*", "+2.2"):
        table.line(line)
    assert shafts(table) == on(1, 2, 3, 4, 1, 2, 3, 4)
    for line in ("", "+2"):
        table.line(line)
    assert shafts(table) == 2 * on(1, 2, 3, 4, 1, 2, 3, 4)
    assert [entry.groups for entry in table.slip.entries] == [2]


def test_where_it_turns_stands_once() -> None:
    table = began()
    for line in ("12", "343", "-2"):  # a row that reads the same both ways is the middle
        table.line(line)
    assert shafts(table) == on(1, 2, 3, 4, 3, 2, 1)
    table = began()
    for line in ("colour 1 red, 2 blue", "123", "", "456", "", "-2"):
        table.line(line)
    assert [(end.shafts[0], end.yarn) for end in ends(table)] == [
        *((1, "red"), (2, "blue"), (3, "blue"), (4, "red"), (5, "blue"), (6, "blue")),
        *((5, "blue"), (4, "red"), (3, "blue"), (2, "blue"), (1, "red")),
    ]


def test_back_takes_back_one_thing_after_the_other_up_to_the_beginning() -> None:
    table = AtTheTable()
    states = []
    for line in ("8", "2", "12", "+3", "", "name", "5", "colour", "112", "34", "mirror", "", "A = 1 2", "3A"):
        states.append(table.slip)
        table.line(line)
    while table.slip != states[0]:
        assert table.line("*")
        assert table.slip in states
    assert table.line("*") == "How many shafts?"


def test_a_key_of_blocks_and_a_profile_make_the_threading() -> None:
    table = began(4)
    for line in ("A = 1 3 2 3", "B = 1 4 2 4"):
        table.line(line)
    assert table.line("A 2B A") == "A. 2 B. A. 16 ends"
    a, b = on(1, 3, 2, 3), on(1, 4, 2, 4)
    assert shafts(table) == a + b + b + a
    table.line("blocks")
    assert table.press(["1", "2", "2", "1", "enter"]) == "A. 2 B. A. 16 ends"
    assert shafts(table) == 2 * (a + b + b + a)
    with pytest.raises(SequenceError, match="no block '3'"):
        table.line("13")


def test_with_a_keypad_alone_a_key_is_given_and_its_blocks_are_digits() -> None:
    table = AtTheTable()
    table.press([*"4", "enter", *"2", "enter", "/", "3", *"1323", "enter", *"1424", "enter", "enter", *"122", "enter"])
    assert shafts(table) == on(1, 3, 2, 3) + 2 * on(1, 4, 2, 4)
    table.press(["enter", "/", "2", "3", "enter", "/", "1", *"112", "enter", "/", "4", *"1234", "enter"])
    assert table.slip.hand.name == "border"
    assert [end.yarn for end in ends(table)][-4:] == ["yarn1", "yarn1", "yarn2", "yarn1"]


def rows() -> Iterator[tuple[int, str]]:
    """Rows as they stand on papers: short and long, with repeats and runs, on four to sixteen shafts."""
    chance = random.Random(3)
    for most in (4, 9, 12):
        for length in (2, 7, 16, 20):
            row = [chance.randint(1, most) for _ in range(length)]
            yield most, " ".join(map(str, row))
            yield most, " ".join(map(str, row[:4] * (length // 4)))
            yield most, " ".join(str(end % most + 1) for end in range(length))


def slips(row: list[str], most: int) -> Iterator[list[str]]:
    """What a finger makes of a row: another shaft, one left out, one twice, two neighbours swapped."""
    for at, shaft in enumerate(row):
        yield from ([*row[:at], str(other), *row[at + 1 :]] for other in range(1, most + 1) if str(other) != shaft)
        yield [*row[:at], *row[at + 1 :]]
        yield [*row[: at + 1], *row[at:]]
        yield [*row[:at], *reversed(row[at : at + 2]), *row[at + 2 :]]


@cache
def opened(code: str, most: int) -> tuple[AtTheTable, PaperSlip]:
    table = began(most, code)
    return table, table.slip


def heard(code: str, most: int, row: str) -> str:
    table, slip = opened(code, most)
    table.slip = slip
    told: str = table.line(row)
    return told


def test_an_error_in_any_row_is_heard_when_it_is_read_back() -> None:
    """The witness has the paper beside what is said of it, in words: another row is never told by the same."""
    for most, row in rows():
        paper, right = row.split(), heard("en", most, row)
        for wrong in slips(paper, most):
            if wrong and wrong != paper:
                assert heard("en", most, " ".join(wrong)) != right, (row, wrong)


@pytest.mark.parametrize("code", codes())
def test_it_is_heard_in_every_language(code: str) -> None:
    row = "1 4 3 2 8 5 7 6 1/5 2..8 1 4 3 2"
    right = heard(code, 8, row)
    for wrong in slips(row.split(), 8):
        if wrong != row.split() and "2..8" in wrong and "1/5" in wrong:
            assert heard(code, 8, " ".join(wrong)) != right
    for wrong_row in (row.replace("1/5", "1 5"), row.replace("2..8", "2 8"), row.replace("2..8", "2..7")):
        assert heard(code, 8, wrong_row) != right
    table = began(8, code)
    table.line("1432")
    assert len({table.line(line) for line in ("+2", "*", "+3", "*", "+4", "*", "-")}) == 5


def test_what_means_the_same_at_the_loom_has_the_same_keys_and_words() -> None:
    """But that again, which says it again there, and go to, which leads to what has no word."""
    for keys, move in ON_KEYPAD.items():
        kind = MEANINGS.get(keys)
        if kind and kind in BY_VOICE:
            assert BY_VOICE[kind] is move, keys


@pytest.mark.parametrize("code", codes())
def test_every_word_that_is_typed_means_one_thing(code: str) -> None:
    language = load(code)
    words = [
        word for name, told in language.writing.items() if name.startswith("word ") for word in str(told).split(", ")
    ]
    assert len(words) == len({word.casefold() for word in words})
    assert set(commands(language).values()) == {*MoveKind} - {MoveKind.ENTER, MoveKind.MORE}


def test_a_line_is_a_row_a_sign_or_a_word_with_what_goes_with_it() -> None:
    typing = Typing(commands(load("en")))
    assert typing.line("new group") == [Move(MoveKind.NEXT)]
    assert typing.line("Name  Rose 2") == [Move(MoveKind.NAME, "Rose 2")]
    assert typing.line("backs") == [Move(MoveKind.ENTER, "backs")]
    assert typing.line("back", naming=True) == [Move(MoveKind.ENTER, "back")]
    assert typing.line("/7") == [Move(MoveKind.DONE)]
    assert typing.line("") == [Move(MoveKind.NEXT)]


def test_signs_of_a_keyboard_stand_in_a_row_where_those_of_a_keypad_mean_something() -> None:
    def typed(*keys: str) -> list[Move]:
        typing = Typing(commands(load("en")))
        return [move for key in keys for move in typing.press(key)]

    assert typed("1", "minus", "2", "enter") == [Move(MoveKind.ENTER, "1-2")]
    assert typed("1", "asterisk", "2", "enter") == [Move(MoveKind.ENTER, "1*2")]
    assert typed("1", "2", "*", "3", "-") == [Move(MoveKind.ENTER, "13"), Move(MoveKind.MIRROR)]


@pytest.mark.parametrize("lines", [("1234", "+30"), ("~ 1*2 2*2", "30(1234)", "1*2 2*2 ~"), ("1*2 ~ 3", "+40")])
def test_one_long_group_is_cut_where_it_repeats(lines: tuple[str, ...]) -> None:
    table = began(4)
    for line in lines:
        table.line(line)
    warp = loads(sequence_file(table.slip, "rug").encode(), "rug.yaml")
    assert [*warp.every_end()] == [*table.slip.ends(table.slip.hand)]
    assert max(len(group.ends) for group in warp.groups) <= 40


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (["+3"], "nothing is written yet; write a row first"),
        (["12", "+1"], "'1' is not how many times something stands in all"),
        (["12", "+2.5"], "the last 5 cannot be repeated or mirrored; there are 1"),
        (["12", "+99999.1"], "'99999' is not how many times"),
        (["5000(12)", "+20"], "with this there are more than 100,000 ends"),
        (["1439"], "there is no shaft 9; this loom has shafts 1 to 8"),
        (["colour red blue"], "a comma is missing before 'blue'"),
        (["name 12"], "'12' cannot be a name"),
        (["A = 1 x"], "there is no block called 'x'"),
        (
            [
                "if = 1 2",
                "if =",
            ],
            "has no ends",
        ),
    ],
)
def test_what_cannot_be_read_is_one_line_and_changes_nothing(lines: list[str], told: str) -> None:
    table = began()
    *well, bad = lines
    for line in well:
        table.line(line)
    before = table.slip
    with pytest.raises(SequenceError) as refused:
        table.line(bad)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)
    assert table.slip is before


def test_random_moves_come_to_a_warp_or_one_line() -> None:
    chance, texts = random.Random(5), ("", "", "3", "1432", "2.2", "A = 1 2", "A 3B", "red", "1..4")
    for _ in range(300):
        table = AtTheTable()
        for _ in range(chance.randrange(30)):
            with suppress(SequenceError):
                table.do(Move(chance.choice([*MoveKind, MoveKind.ENTER, MoveKind.ENTER]), chance.choice(texts)))
        if table.slip.whole and table.slip.asked not in (Asked.SHAFTS, Asked.EDGE):
            assert len(ends(table)) == table.slip.count


def test_what_the_format_has_is_written_and_told() -> None:
    table = began()
    assert table.line("~ 1*2 3 4; 3") == "no heddle, 1, 2 in one heddle, 3, 4, 3"
    table.line("0")
    for line in ("", "12", "", "34", "", "+3.2", "A = 1 3 2 3", "B = 1 4 2 4", "A 3B", "mirror"):
        table.line(line)
    assert table.line("+2") == "2 times. 59 ends in all."
    assert sequence_file(table.slip, "rug").splitlines()[-9:] == [
        "keys:",
        "  key: {A: 1 3 2 3, B: 1 4 2 4}",
        "groups:",
        "- {thread: '~ 1*2 3 4; 3, ~'}",
        "- groups:",
        "  - {thread: 1 2}",
        "  - {thread: 3 4}",
        "  times: 3",
        "- {profile: 2(A 3B A)}",
    ]
    warp = loads(sequence_file(table.slip, "rug").encode(), "rug.yaml")
    assert warp.ends == table.slip.count
    assert [end.floats for end in warp.groups[0].ends] == [True, *[False] * 5, True]


def slips_at(step: Step, chance: random.Random) -> Iterator[tuple[str, Keys, bool]]:
    """What a hand does wrong at a step, with its keys, and whether she looks at that step's line as she hears it."""
    digits = [at for at, key in enumerate(step.keys) if key.isdecimal()]
    for at in digits:
        other = chance.choice([number for number in "12345678" if number != step.keys[at]])
        yield "another number", (*step.keys[:at], other, *step.keys[at + 1 :]), True
        yield "a number twice", (*step.keys[: at + 1], *step.keys[at:]), True
        if len(digits) > 1:
            yield "a number left out", (*step.keys[:at], *step.keys[at + 1 :]), True
        if at + 1 in digits and step.keys[at] != step.keys[at + 1]:
            yield "two swapped", (*step.keys[:at], step.keys[at + 1], step.keys[at], *step.keys[at + 2 :]), True
    yield "twice", (*step.keys, *step.keys), False
    yield "left out", (), False


@pytest.mark.parametrize("paper", [RUNNER, many_rows(1)], ids=["runner", "many rows"])
def test_a_slip_in_any_row_is_found_by_what_is_read_back_and_back_mends_it(paper: Paper) -> None:
    """By a weaver who knows only the paper and what she hears."""
    chance, weaver, tried = random.Random(2), Comparing(paper), Counter[str]()
    assert [end.shafts[0] for end in every_end(weaver.slip)] == paper.ends
    for at, step in enumerate(steps(paper)):
        for kind, keys, looking in slips_at(step, chance):
            tried[kind] += 1
            assert weaver.mends(at, keys, looking), (kind, step, keys)
    assert min(tried.values()) == tried["twice"] == tried["left out"] == len(steps(paper))


def test_another_row_as_long_is_not_found_by_a_weaver_who_looks_at_that_one() -> None:
    """What she hears is what she sees, and no count is off."""
    weaver = Comparing(Paper(8, (((("1234", ""), ("4321", ""), ("1212", "")), 1),)))
    other = (*"4321", "enter")
    assert weaver.mends(0, other, looking=True)
    assert not weaver.mends(0, other, looking=False)


def test_done_is_asked_about_where_it_was_only_heard() -> None:
    table = began()
    table.line("1234")
    table.do(Move(MoveKind.DONE, HEARD))
    assert table.heard[-1] == "4 ends in 1 group. If that is all, say finished once more."
    assert table.line("56") == "5, 6"
    table.do(Move(MoveKind.DONE, HEARD))
    assert not table.slip.done
    assert table.line("*").startswith("Taken back. Last row: 5, 6")
    for _ in range(2):
        table.do(Move(MoveKind.DONE, HEARD))
    assert table.slip.done
    assert shafts(table) == on(1, 2, 3, 4, 5, 6)


@pytest.mark.parametrize("code", codes())
def test_help_names_what_can_be_said(code: str) -> None:
    language = load(code)
    told = str(language.writing["help by voice"]).casefold()
    assert all(words[0] in told for words in language.writing_commands.values())
    assert all(any(word in told for word in language.commands[kind]) for kind in ("back", "finished"))
