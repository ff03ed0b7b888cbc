"""WIF drafts: what is read, what is remarked on, what is refused."""

import io
import random
import tracemalloc
import zipfile
from configparser import RawConfigParser
from pathlib import Path

import pytest
from drawn import remarks, threadings
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import DraftError
from assistant.warp.draft import AskedOf, Draft, read_draft, reading
from assistant.warp.draft.reading import MOST_DRAFT_BYTES
from assistant.warp.notation import Ends

MEADOW = Path(__file__).parent / "meadow-towel.wif"
NO_DRAFT = "towel.wif: this is not a WIF draft; export the draft anew, with its threading"
COLOURED = """\
[WIF]
[WEAVING]
Shafts=2
[WARP]
Color=1
[COLOR PALETTE]
Range={bounds}
[COLOR TABLE]
1={first}
2={second}
[THREADING]
1=1
2=2
3=1
[WARP COLORS]
2=2
"""


def read(text: str) -> Draft:
    """The draft this text describes."""
    return read_draft(text.encode(), "towel.wif")


def complaint(data: bytes) -> str:
    """What is said about a file that cannot be read."""
    with pytest.raises(DraftError) as caught:
        read_draft(data, "towel.wif")
    assert "\n" not in str(caught.value)
    return str(caught.value)


def shafts(draft: Draft) -> Ends:
    """The shafts of every end."""
    return tuple(end.shafts for end in draft.ends)


def colours(draft: Draft) -> list[str]:
    """The colour of every end."""
    return [draft.yarns[end.yarn].colour if end.yarn else "" for end in draft.ends]


def threading(lines: str, before: str = "[WIF]\n[WEAVING]\nShafts=4\n") -> str:
    """A file with these lines under [THREADING]."""
    return f"{before}[THREADING]\n{lines}"


FOUR = "1=1\n2=2\n3=3\n4=4\n"


def test_everything_a_draft_says_of_the_warp_is_read() -> None:
    draft = read_draft(MEADOW.read_bytes(), "meadow-towel.wif")
    assert (draft.title, draft.shafts, len(draft.ends), remarks(draft)) == ("Meadow towel", 4, 76, ())
    assert shafts(draft)[6:14] == ((1,), (2,), (1,), (3,), (1,), (3,), (1,), (2,))
    assert (draft.sett, draft.unit) == (20, "inch")  # 36 decipoints of 1/720 inch from end to end
    assert {key: yarn.colour for key, yarn in draft.yarns.items()} == {"white": "#ffffff", "dark-green": "#00661a"}
    assert [end.yarn for end in draft.ends][7:19] == ["white", *["dark-green"] * 10, "white"]


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_encoding_and_line_ends_give_the_same_draft(codec: str, line_end: str) -> None:
    text = MEADOW.read_text().replace("Meadow towel", "Pré fleuri – été")
    draft = read_draft(text.replace("\n", line_end).encode(codec), "meadow-towel.wif")
    assert draft.title == "Pré fleuri – été"
    assert draft.ends == read_draft(MEADOW.read_bytes(), "").ends


def test_case_and_spaces_do_not_matter() -> None:
    text = "[wif]\n [ Weaving ]\nSHAFTS = 4\n[Threading]\n ; a remark\n 1 = 1\n2= 2 ; another\n\n3 =3\n4=4"
    draft = read(text)
    assert (shafts(draft), draft.shafts, remarks(draft)) == (((1,), (2,), (3,), (4,)), 4, ())


def test_an_end_may_be_on_several_shafts() -> None:
    assert shafts(read(threading("1=1,3\n2=2, 4\n3=0,1\n4=2,2"))) == ((1, 3), (2, 4), (1,), (2,))


@pytest.mark.parametrize(
    ("bounds", "first", "second"),
    [
        ("0,255", "255,0,51", "0,0,0"),
        ("0,65535", "65535,0,13107", "0,0,0"),
        ("0,999", "999,0,200", "0,0,0"),
        ("0,1", "1,0,0.2", "0,0,0"),
        ("100,200", "200,100,120", "100,90,100"),
    ],
)
def test_colours_of_any_range(bounds: str, first: str, second: str) -> None:
    draft = read(COLOURED.format(bounds=bounds, first=first, second=second))
    assert colours(draft) == ["#ff0033", "#000000", "#ff0033"]
    assert remarks(draft) == ()


def test_colours_whose_range_is_unknown_are_left_open() -> None:
    draft = read(COLOURED.format(bounds="", first="9,9,9", second="1,2,3"))
    assert colours(draft) == ["", "", ""]
    assert [end.yarn for end in draft.ends] == ["colour-1", "colour-2", "colour-1"]
    assert remarks(draft) == ("colours of form '' and range '' cannot be read: left open",)


def test_a_colour_that_the_palette_lacks_is_left_open() -> None:
    draft = read(COLOURED.format(bounds="0,9", first="9,9,9", second="one"))
    assert colours(draft) == ["#ffffff", "", "#ffffff"]
    assert remarks(draft) == (
        "entries of [COLOR TABLE] that cannot be read: 1, the first on line 10; left aside",
        "the palette does not have colour 2: left open",
    )


def test_a_draft_without_colours_has_no_yarns() -> None:
    assert read(threading(FOUR)).yarns == {}


def test_ends_of_another_thickness_are_another_yarn() -> None:
    text = COLOURED.format(bounds="0,9", first="9,0,0", second="9,0,0") + "[WARP THICKNESS]\n3=2\n"
    draft = read(text)
    assert [end.yarn for end in draft.ends] == ["red", "red-no-2", "red-no-3"]
    assert remarks(draft) == ("ends of one colour but different thickness are taken for different yarns",)


@pytest.mark.parametrize(
    ("warp", "sett", "unit", "warnings"),
    [
        ("Units=Inches\nSpacing=0.05", 20, "inch", ()),
        ("Units=centimeters\nSpacing=0.125", 80, "cm", ()),
        ("Units=Decipoints\nSpacing=30", 24, "inch", ()),
        ("Spacing=30", None, "inch", ("no sett can be told from the spacing of the ends (units: '')",)),
        ("Units=Inches", None, "inch", ()),
        ("Units=Inches\nSpacing=wide", None, "inch", ("Spacing of [WARP] is 'wide': left aside",)),
        (
            "Units=Inches\nSpacing=0",
            None,
            "inch",
            ("no sett can be told from the spacing of the ends (units: 'Inches')",),
        ),
        (
            "Units=Inches\nSpacing=0.1\n[WARP SPACING]\n1=0.05\n2=0.05",
            13.3333,
            "inch",
            ("the spacing of the ends changes: the sett of 13.33 is the mean",),
        ),
    ],
)
def test_the_sett_comes_from_the_spacing(warp: str, sett: float | None, unit: str, warnings: tuple[str, ...]) -> None:
    draft = read(threading(FOUR, f"[WEAVING]\nShafts=4\n[WARP]\n{warp}\n"))
    assert (draft.sett, draft.unit, remarks(draft)) == (sett, unit, warnings)


@pytest.mark.parametrize(
    ("text", "warning"),
    [
        (threading("1=1\n2=0\n3=2\n4=\n6=3\n7=4"), "not threaded, so left out: end 2, 4, 5 (3 of 7)"),
        (
            threading(FOUR, "[WEAVING]\nShafts=4\n[WARP]\nThreads=6\n"),
            "not threaded, so left out: end 5, 6 (2 of 6)",
        ),
        (
            threading(FOUR, "[WEAVING]\nShafts=4\n[WARP]\nThreads=3\n"),
            "[WARP] says 3 threads, but [THREADING] goes up to end 4: all are taken",
        ),
        (threading(FOUR, "[WEAVING]\nShafts=2\n"), "the draft says 2 shafts, but its ends use 4: taken as 4"),
        (
            threading(FOUR, "[WEAVING]\nShafts=99\n"),
            "the draft says 99 shafts: taken as the 4 that are used; --shafts says another number",
        ),
        (
            threading(FOUR, "[WIF]\n"),
            "the draft does not say how many shafts: 4 are used; --shafts says another number",
        ),
        (threading("1=1\n2=3\n3=4"), "no end is on shaft 2"),
        (threading(FOUR + "2=2\n"), "entries given twice in [THREADING]: 1; the last of each is taken"),
        (
            threading(FOUR + "[CONTENTS]\nTHREADING=false\n"),
            "[CONTENTS] says there is no [THREADING], yet there is: it is read",
        ),
        (
            threading(FOUR + "[CONTENTS]\nWARP COLORS=true\n"),
            "[CONTENTS] says there is a [WARP COLORS], but there is none",
        ),
        (
            threading("1=1\n2=2\n[TEXT]\n[THREADING]\n3=3\n4=4\n"),
            "on line 8 [THREADING] begins a second time: read as one",
        ),
    ],
)
def test_what_is_odd_is_remarked_on(text: str, warning: str) -> None:
    assert remarks(read(text)) == (warning,)
    assert {shaft for (shaft,) in shafts(read(text))} >= {1, 3, 4}


@pytest.mark.parametrize("given", ["2", "2,0,0,0", "0,0,0"])
def test_a_colour_may_be_given_itself_or_behind_its_place(given: str) -> None:
    """A place, and red, green and blue behind it or alone: the forms of WIF 1.1, from memory."""
    head = COLOURED.format(bounds="0,255", first="1,255,0,51", second="0,0,0")
    draft = read(head.replace("[WARP COLORS]\n2=2\n", f"[WARP COLORS]\n2={given}\n"))
    assert (colours(draft), remarks(draft)) == (["#ff0033", "#000000", "#ff0033"], ())


def test_a_place_that_the_palette_lacks_takes_the_colour_behind_it() -> None:
    head = COLOURED.format(bounds="0,255", first="255,0,51", second="0,0,0")
    text = head.replace("[WARP COLORS]\n2=2\n", "[WARP COLORS]\n2=7,0,0,255\n")
    assert colours(read(text)) == ["#ff0033", "#0000ff", "#ff0033"]


BODY = "".join(f"{n}={1 + n % 4}\n" for n in range(2, 22))
FLOATING = "the end at either edge is on no shaft: taken for a floating one; --floating 0 leaves it out"
OUTERMOST = "only the outermost ends are on shaft 5: taken as drawn; --floating 1 has them float, in no heddle"


@pytest.mark.parametrize(
    ("edge", "floating", "first", "warning"),
    [
        ("", None, (), FLOATING),
        ("0", None, (), FLOATING),
        ("", 0, (3,), "not threaded, so left out: end 1, 22 (2 of 22)"),
        ("", 1, (), None),
        ("5", None, (5,), OUTERMOST),
        ("5", 0, (5,), OUTERMOST),
        ("5", 1, (), "no end is on shaft 5"),
    ],
)
def test_floating_ends_are_told_and_wished(
    edge: str, floating: int | None, first: tuple[int, ...], warning: str | None
) -> None:
    shafts_said = 5 if edge == "5" else 4
    head = f"[WEAVING]\nShafts={shafts_said}\n[WARP]\nThreads=22\n"
    text = threading(f"1={edge}\n{BODY}22={edge}\n", head)
    draft = read_draft(text.encode(), "towel.wif", AskedOf(floating=floating))
    assert draft.ends[0].shafts == first
    assert remarks(draft) == ((warning,) if warning else ())


DOUBLED = "1 1 2 2 3 4 1 2 3 4 1 2 3 4 1 2 3 3 4 4"


@pytest.mark.parametrize(("doubled", "joined"), [(None, 4), (0, 0), (1, 2), (2, 4)])
def test_like_ends_side_by_side_at_the_edges_are_doubled(doubled: int | None, joined: int) -> None:
    text = threading("".join(f"{n}={shaft}\n" for n, shaft in enumerate(DOUBLED.split(), 1)))
    draft = read_draft(text.encode(), "towel.wif", AskedOf(doubled=doubled))
    assert sum(end.joins for end in draft.ends) == joined
    assert shafts(draft) == tuple((int(shaft),) for shaft in DOUBLED.split())
    said = "at either edge like ends lie side by side in 2 pairs: taken for two in one heddle; "
    said += "--doubled 0 gives each its own"
    assert remarks(draft) == ((said,) if doubled is None else ())


def test_more_heddles_than_have_like_ends_are_not_doubled() -> None:
    with pytest.raises(DraftError, match="fewer heddles could have two ends each; --doubled 3 is too many"):
        read_draft(threading(FOUR + BODY).encode(), "towel.wif", AskedOf(doubled=3))


def test_shafts_are_as_wished() -> None:
    assert read_draft(threading(FOUR).encode(), "f.wif", AskedOf(shafts=8)).shafts == 8
    with pytest.raises(DraftError, match=r"f\.wif: there is an end on shaft 4; --shafts 3 is too few"):
        read_draft(threading(FOUR).encode(), "f.wif", AskedOf(shafts=3))


def test_a_draft_without_title_is_called_after_its_file() -> None:
    assert read_draft(threading(FOUR).encode(), "drafts/Tea towel.wif").title == "Tea towel"


def outcome(data: bytes) -> str:
    """Warnings or complaint."""
    try:
        return " ".join(remarks(read_draft(data, "f.wif")))
    except DraftError as error:
        return str(error)


def zipped() -> bytes:
    """A draft in a zip archive."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as opened:
        opened.write(MEADOW, "meadow.wif")
    return archive.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", NO_DRAFT),
        (random.Random(5).randbytes(9_999), NO_DRAFT),
        (zipped(), "towel.wif: this is a packed archive; unpack it, and import the draft inside"),
        (b"\xff\xfea", "towel.wif: this file is not text; look whether it is the draft"),
        (b"[WIF]\n", "towel.wif: there is no [THREADING] section; export the draft anew, with its threading"),
        (b"[THREADING]\n1=0\n", "towel.wif: no end of this draft is threaded; look whether it is a threading at all"),
        (b"[THREADING]\n1=1\n2=x\n", "towel.wif:3: this line of [THREADING] cannot be read; export the draft anew"),
        (b"[THREADING]\n0=1\n", "towel.wif:2: this line of [THREADING] cannot be read; export the draft anew"),
        (b"[THREADING]\none\n", "towel.wif:2: this line of [THREADING] cannot be read; export the draft anew"),
        (b"[THREADING]\n1=65\n", "towel.wif: there is an end on shaft 65; the most shafts are 64"),
        (
            b"[THREADING]\n100001=1\n",
            "towel.wif:2: [THREADING] goes up to 100,001, the most is 100,000; look whether it is the draft",
        ),
        (
            b"[WARP]\nThreads=5000000\n[THREADING]\n1=1\n",
            "towel.wif: [WARP] says 5,000,000 threads; the most is 100,000",
        ),
        (
            b"[THREADING]\n" + b"".join(b"%d=1\n" % i for i in range(1, 1_100)) + b"[WARP COLORS]\n"
            + b"".join(b"%d=%d\n" % (i, i) for i in range(1, 1_100)),
            "towel.wif: more than 1,000 yarns in the warp; look whether it is the draft",
        ),
        (
            b" " * (MOST_DRAFT_BYTES + 1),
            "towel.wif: this file is too long for a draft; a draft has at most 10 MB",
        ),
    ],
    ids=lambda value: None if isinstance(value, bytes) else value[:40],
)  # fmt: skip
def test_what_cannot_be_read_is_one_clear_line(data: bytes, said: str) -> None:
    assert complaint(data) == said


def test_far_too_many_entries_are_refused_in_little_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MOST_ENDS", 50_000)
    data = b"[THREADING]\n" + b"1=1\n" * 2_000_000
    tracemalloc.start()
    said = complaint(data)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert said == "towel.wif:50002: more than 50,000 entries in [THREADING]; look whether it is the draft"
    assert most < 1_000_000


@given(ends=threadings(min_size=1), omitted=st.sets(st.integers(1, 20)))
def test_the_threading_is_what_configparser_reads(ends: Ends, omitted: set[int]) -> None:
    lines = [f"{n}={','.join(map(str, end))}" for n, end in enumerate(ends, 1) if n not in omitted or n == len(ends)]
    text = threading("\n".join(lines))
    outside = RawConfigParser(comment_prefixes=(";",))  # Python's own reader of such files
    outside.read_string(text)
    found = [tuple(map(int, value.split(","))) for _, value in outside.items("THREADING")]
    assert list(shafts(read(text))) == found


@given(st.one_of(st.binary(), st.binary().map(lambda data: b"[THREADING]\n1=1\n" + data)))
def test_any_bytes_are_a_draft_or_one_line(data: bytes) -> None:
    assert "\n" not in outcome(data)


@given(st.data())
def test_a_damaged_draft_is_read_or_refused(data: st.DataObject) -> None:
    text = bytearray(MEADOW.read_bytes())
    for _ in range(data.draw(st.integers(1, 5))):
        text[data.draw(st.integers(0, len(text) - 1))] = data.draw(st.sampled_from(b"\0\n\r=[];,0 9\xff"))
    assert "\n" not in outcome(bytes(text))
