"""A plan to read, in the weaver's language; and as JSON."""

import json
import re
from collections.abc import Mapping

import pytest

from assistant.paper.plan import as_json, lines
from assistant.warp.examples import examples
from assistant.warp.plan import Plan, imagined, plan, plan_cloth, wishes
from assistant.warp.sequence import load, loads
from assistant.words.language import Phrase, codes
from assistant.words.language import load as language

BASE = "shafts: 4\ngroups: [{name: stripe, thread: 5(1..4), times: 23}]\n"  # 460 ends
FOREIGN = [code for code in codes() if code != "en"]
ALL_OF_IT = "sett: 20\nreed: 10\nreed_width: 12\nsley: [2, 2, 5, 0]\nheddles: {1: 2000, 2: 100}\n"


def planned(more: str, paces: Mapping[str, float] | None = None, **options: str) -> Plan:
    """The plan of a warp of 460 ends."""
    warp = loads((BASE + more).encode(), "f.yaml")
    return plan(warp, wishes(warp.unit, paces=paces, **options))


def told(of: Plan, code: str = "en") -> list[str]:
    """What is printed."""
    return lines(of, language(code))


def test_width_by_sett_and_by_sley_plan_are_both_told() -> None:
    """460 ends at 23 an inch are 20 inches; 65 rounds of 2-2-3 hold 455, the last five ends take three dents more."""
    lines = told(planned("sett: 23\nreed: 10\nsley: [2, 2, 3]\n"))
    assert "  198 dents of a reed of 10 an inch: 2-2-3" in lines
    assert "  which gives a sett of 23.33 an inch" in lines
    assert "  width in the reed: 19.8 inches" in lines
    assert "  by the sett of 23 an inch alone: 20 inches" in lines


def test_a_sett_that_no_repeat_gives_is_told_with_what_it_misses() -> None:
    lines = told(planned("sett: 21.6\nreed: 10\n"))
    assert "  which gives a sett of 21.67 an inch" in lines
    told_of = "the sett is 21.6 an inch; no repeat in this reed gives it exactly, the nearest gives 21.67, off by 0.07"
    assert f"  {told_of}" in lines
    assert not any("exactly" in line for line in told(planned("sett: 23\nreed: 10\n")))


def test_empty_and_crammed_dents() -> None:
    lines = told(planned("reed: 10\nsley: [2, 2, 5, 0]\n"))
    assert "  51 dents left empty" in lines
    assert "  51 dents crammed with 5" in lines
    assert "  102 dents with 2" in lines


def test_yarn_length_and_what_tying_saves() -> None:
    """2.43 m in the loom for 2.187 m finished; 2.7 m of warp for that; 0.7 m waste, of which tying saves 0.63 m."""
    lines = told(planned("unit: cm\nsett: 80\n", cloth="2.187m"))
    assert "  warp 3.4 m long: 218.7 cm of finished cloth, 10 % shrinkage, 10 % take-up, 70 cm of loom waste" in lines
    assert "  yarn not given: 460 ends, 1,564 m" in lines
    assert any("saves 289.8 m of yarn and about 1 h 10 min" in line for line in lines)


def towels(**more: str) -> Plan:
    """Six of them, of which there is no file yet; tests/warp/plan/test_plan_cloth.py reckons them by hand."""
    wanted = {"width": "20in", "cloth": "28in", "pieces": "6", "hem": "1in", "weft": "warp", "put_up": "8oz", **more}
    return plan_cloth(imagined("inch", 20, "8/2 Ne", 24, 1), wishes("inch", paces=None, **wanted))


def test_the_way_from_the_cloth_that_is_wanted_is_told() -> None:
    read = told(towels())
    assert read[0] == "no threading yet: 457 ends"
    at = read.index("for the cloth that is wanted:")
    assert read[at + 1 : at + 10] == [
        "  20 inches finished: 22.22 inches woven (10 % shrinkage), 23.39 inches in the reed (5 % draw-in)",
        "  in repeats of 24 ends, with 1 end beside them:",
        "  18 repeats: 433 ends, 21.65 inches in the reed, 18.51 inches finished",
        "  19 repeats: 457 ends, 22.85 inches in the reed, 19.54 inches finished: the nearest",
        "  20 repeats: 481 ends, 24.05 inches in the reed, 20.56 inches finished",
        "  warp 6.9 yd long: 6 pieces of 28 inches, hems of 1 inch, 10 % shrinkage, 10 % take-up, "
        "27 inches of loom waste",
        "  4,000 picks: 20 an inch, as the ends are, over 200 inches woven",
        "  weft of a pick 25.39 inches: 22.85 inches in the reed, 10 % take-up",
        "  8/2 Ne: 3,163.7 yd of warp, 2,821 yd of weft, 5,984.7 yd in all, 808 g, by 8 Ne x 2, 6,773 m/kg, 4 of 8oz",
    ]
    assert "heddles:" not in read


def test_how_often_a_group_is_to_be_repeated_is_told_as_it_is_written() -> None:
    assert "  write times: 20 for stripe, where the file has 23" in told(planned("sett: 20\n", width="17in"))
    assert "  23 times stripe, as the file has it" in told(planned("sett: 20\n", width="19.6in"))
    as_it_stands = "  as it stands: 460 ends, 23 inches in the reed, 19.66 inches finished"
    assert as_it_stands in told(planned("sett: 20\n", picks="18"))


def test_a_sett_of_a_warp_faced_cloth_is_told_beside_the_reed() -> None:
    """Not as a caution, and with the count by which it is weighed."""
    yarn = "sett: 50\nyarns: {c: {name: cotton, count: 8/2 Ne}}\ngroups: [{thread: 50(1 2), yarn: c}]\n"
    of = plan(loads(f"shafts: 2\n{yarn}".encode(), "f.yaml"), wishes("inch", cloth="1yd"))
    read = told(of)
    line = "  50 an inch is closer than a balanced cloth of this yarn lies, 35 in 2/2 twill: right for a warp-faced one"
    assert read.index(line) > read.index("reed:")
    assert of.advice == ()
    assert any(re.fullmatch(r"  cotton: 100 ends, [\d.]+ yd, \d+ g, by 8 Ne x 2, 6,773 m/kg", each) for each in read)


def test_times_go_by_the_own_pace_where_there_is_one() -> None:
    """Common practice, no source: about four hours for some 450 ends, threaded or tied."""
    lines = told(planned("", paces={"thread": 20.0}))
    assert "  thread: about 2 h 30 min, at your pace" in lines
    assert "  tie: about 4 h 10 min, by common practice" in lines
    assert "  heddles: about 10 min, by common practice" in lines


def test_reeds_for_a_sett() -> None:
    lines = told(planned("sett: 20\n", reeds="8,10,12, 15"))
    at = lines.index("reeds for this sett:")
    assert lines[at + 1 : at + 3] == ["  reed 10: 2 in each dent: 20 an inch", "  reed 8: 2-3: 20 an inch"]


def test_what_the_loom_cannot_take_is_told_with_the_heddles_to_tie_in() -> None:
    short = planned("sett: 20\nreed: 10\nreed_width: 20\nheddles: {1: 200, 2: 100}\n")
    read = told(short)
    assert "  shaft  2: needs 115, has 100: tie in 15 while threading, from stripe 21 on" in read
    at = read.index("the loom cannot take this warp as it stands:")
    assert as_json(short)["cautions"] == [line.strip() for line in read[at + 1 :]]
    assert read[at + 1 :] == [
        "  shaft 2 needs 115 heddles, the loom has 100: 15 missing",
        "  the warp is 23 inches wide in the reed, the reed 20 inches",
    ]


def test_a_width_that_is_not_known_is_said() -> None:
    assert "  the width is not known: write sett, or reed and sley, in the file" in told(planned(""))


def test_another_program_reads_the_same_whatever_the_language() -> None:
    of = planned("sett: 20\nreed: 12\nsley: [2]\n")
    assert json.loads(json.dumps(as_json(of))) == as_json(of)
    assert as_json(of)["cautions"] == [
        "the sett is 20 an inch, reed and sley give 24 an inch; widths go by reed and sley"
    ]
    assert list(as_json(of))[:-1] == list(of.as_json())


def test_the_hearth_runner_in_german() -> None:
    warp = load(examples()["hearth-runner"])
    read = lines(plan(warp, wishes(warp.unit, reed_width="24in")), language("de"))
    assert read[0].endswith(": 252 Fäden, erster Faden am rechten Rand")
    assert "  Breite im Blatt: 12,6 Zoll" in read
    assert "  erster Faden in Rohr 58 von 240, von rechts gezählt" in read
    assert "  erster Faden 6,3 Zoll rechts der Mitte" in read
    assert "  Schaft  1: braucht 66, hat 220: 77 nach links schieben, 77 nach rechts" in read


def words_of(phrase: Phrase) -> set[str]:
    texts = phrase.values() if isinstance(phrase, dict) else [phrase]
    return {word for text in texts for word in re.findall(r"[a-z]{4,}", re.sub("{.*?}", "", text))}


@pytest.mark.parametrize("code", FOREIGN)
@pytest.mark.parametrize("unit", ["inch", "cm"])
def test_nothing_of_a_plan_is_left_in_english(code: str, unit: str) -> None:
    """What neither language shares would have to be English."""
    more = f"unit: {unit}\n{ALL_OF_IT}"
    of = planned(more, {"thread": 30.0}, cloth="3m", reeds="8,9,10")
    assert of.obstacles
    assert of.advice
    cloths = [
        towels(fringe="3in", sample="9in", picks="18", weft="12/15 Ne"),
        towels(picks="8"),
    ]
    cloths += [planned(more, None, width=width, cloth="1m", weft="2/3 Nm") for width in ("20cm", "9m")]
    read = " ".join(line for each in (of, *cloths) for line in told(each, code))
    english, ours = (
        {word for section in (each.plan, each.paper) for phrase in section.values() for word in words_of(phrase)}
        for each in (language("en"), language(code))
    )
    written = {"sett", "reed", "sley", "stripe", "times", "ashenhurst"}  # keys of the file, and names
    assert set(re.findall(r"[a-z]{4,}", read)) & english - ours - written == set()
    assert "{" not in read
    assert not [key for key in language("en").plan if " " in key and key in read]
