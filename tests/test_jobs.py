"""Every counted job, as a weaver does it with keys: to the end, over a night, and what comes next."""

import json
import re
import threading
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from assistant import cli
from assistant.sitting.loop import Loop
from assistant.warp.passes import PASSES, Manner
from assistant.words.language import codes, load

Weaver = Callable[..., list[str]]

STRIPES = """
{title: Stripes, shafts: 4, sett: 15, reed: 10, sley: [1, 2], yarns: {flax: {}, rust: {}}, groups: [
  {name: edge, thread: 8(1 2)}, {name: stripe, thread: 3(1..4), yarn: "2 flax, 1 rust", times: 2}]}
"""


@pytest.fixture
def weaver(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Weaver:
    """Runs a command in a folder of its own, with these lines typed; what is printed."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    Path("stripes.yaml").write_text(STRIPES)

    def run(*words: str, typed: str = "q\n", code: int = 0) -> list[str]:
        Path("typed").write_text(typed)
        with open("typed") as lines, monkeypatch.context() as at_the_keys:
            at_the_keys.setattr("sys.stdin", lines)
            others = set(threading.enumerate())
            done = cli.main(words)
            for reader in set(threading.enumerate()) - others:
                reader.join(30)
        told = capfd.readouterr()
        assert done == code, told.err
        return (told.out if code == 0 else told.err).splitlines()

    return run


def at_work(weaver: Weaver, job: str, steps: int, *options: str) -> list[str]:
    """So many presses of the key for next, then leaving."""
    return weaver(job, "stripes.yaml", "--mute", "--deaf", "--plain", *options, typed="\n" * steps + "q\n")


def next_told(weaver: Weaver) -> dict[str, object]:
    (line,) = weaver("next", "stripes.yaml", "--json")
    return json.loads(line)  # type: ignore[no-any-return]


@pytest.mark.parametrize("job", [name for name, job in PASSES.items() if job.manner is Manner.CALLED])
def test_a_job_is_left_overnight_and_done_the_next_day(weaver: Weaver, job: str) -> None:
    steps = len(json.loads(weaver("calls", "stripes.yaml", "--job", job, "--json")[0])["calls"]) + 3
    at_work(weaver, job, 3)
    assert next_told(weaver)["next"] == [f"heddlecall {job} stripes.yaml"]
    told = at_work(weaver, job, steps - 3)
    unit = PASSES[job].unit
    assert f"40 of 40 {unit}s counted in 3 groups; no group is off" in told
    log = weaver("log", "stripes.yaml", "--job", job)
    assert log[0] == f"Stripes, {job}: 40 of 40 {unit}s"
    assert log[1:4] == [
        "  edge        16 of   16  even",
        "  stripe 1    12 of   12  even",
        "  stripe 2    12 of   12  even",
    ]
    assert len(json.loads(weaver("log", "stripes.yaml", "--json")[0])["sittings"]) == 2


def test_the_jobs_of_a_warp_follow_each_other(weaver: Weaver) -> None:
    jobs = ("wind", "heddles", "thread", "check", "sley")
    commands = [f"heddlecall {job} stripes.yaml" for job in jobs]
    assert next_told(weaver)["next"] == commands
    for job, following in pairwise(jobs[:4]):
        at_work(weaver, job, 60)
        assert next_told(weaver)["next"][0] == f"heddlecall {following} stripes.yaml"  # type: ignore[index]
    check = [commands[3], "heddlecall check --read stripes.yaml"]
    assert next_told(weaver)["next"] == [*check, commands[4]]
    at_work(weaver, "sley", 60)
    assert next_told(weaver)["next"] == [*check, "heddlecall wind stripes.yaml --fresh"]
    assert next_told(weaver)["why"] == "check, then tie on at the front and weave"


def test_a_further_warp_is_wound_and_tied_to_the_old_one(weaver: Weaver) -> None:
    for job in ("wind", "thread", "sley"):
        at_work(weaver, job, 60)
    at_work(weaver, "wind", 60, "--fresh")
    afresh = ["heddlecall heddles stripes.yaml", "heddlecall thread stripes.yaml --fresh"]
    assert next_told(weaver)["next"] == ["heddlecall tie stripes.yaml", *afresh]
    at_work(weaver, "tie", 60)
    assert next_told(weaver)["job"] is None
    assert str(next_told(weaver)["why"]).startswith("draw the knots through heddles and reed")


def test_what_is_not_closed_is_told(weaver: Weaver) -> None:
    weaver("thread", "stripes.yaml", "--mute", "--deaf", "--plain", typed="\n" * 4 + "o\n2\n\ng\n\nq\n")
    told = weaver("next", "stripes.yaml")
    groups = "open: stripe 1 (4 of 12); OFF: edge (14 of 16, 2 left over); 1 group not begun"
    assert told[3] == f"  thread   18 of 40 ends; {groups}; about 10 min left, by common practice"
    assert told[-2:] == ["next: thread: go on where you left", "  heddlecall thread stripes.yaml"]
    weaver("thread", "stripes.yaml", "--mute", "--deaf", "--plain", typed="\n" * 7 + "q\n")
    assert weaver("next", "stripes.yaml")[-2] == "next: thread: edge is off: do it anew, or settle it"


def test_ends_are_wound_in_pairs_from_one_day_to_the_next(weaver: Weaver) -> None:
    told = at_work(weaver, "wind", 1, "--together", "2")
    assert "edge, ends 1 to 10 of 16: 5 pairs" in told
    assert "edge, ends 11 to 16 of 16: 3 pairs. Then the counting thread" in at_work(weaver, "wind", 1)


def test_what_is_kept_for_calls_yields_to_what_a_record_began_with(
    weaver: Weaver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    weaver("settings", "wind-together", "3")
    assert "edge, ends 1 to 9 of 16: 3 times 3" in " ".join(at_work(weaver, "wind", 0))
    weaver("settings", "wind-together", "4")
    assert "3 times 3" in " ".join(at_work(weaver, "wind", 0))
    assert "5 pairs" in " ".join(at_work(weaver, "wind", 0, "--together", "2"))
    assert "5 pairs" in " ".join(at_work(weaver, "wind", 0))


def test_what_is_kept_for_the_pace_yields_to_what_is_typed(
    weaver: Weaver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    paces = list[float]()
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setattr(Loop, "keep_pace", lambda loop, seconds: paces.append(seconds))
    at_work(weaver, "check", 0)
    weaver("settings", "pace", "2.5")
    at_work(weaver, "check", 0)
    at_work(weaver, "check", 0, "--pace", "1.2")
    assert paces == [1.5, 2.5, 1.2]


def test_an_edit_of_the_reed_touches_the_sleying_and_not_the_winding(weaver: Weaver, tmp_path: Path) -> None:
    for job in ("wind", "sley"):
        at_work(weaver, job, 2)
    (tmp_path / "stripes.yaml").write_text(STRIPES.replace("sley: [1, 2]", "sley: [2]"))
    assert "--edited" in weaver("wind", "stripes.yaml", "--mute", "--deaf", "--plain", code=2)[0]
    at_work(weaver, "wind", 1, "--edited")
    after = weaver("log", "--job", "wind")[-3:]
    assert [("edited" in line, " to " in line) for line in after] == [(False, True), (True, False), (False, True)]
    (line,) = weaver("sley", "stripes.yaml", "--mute", "--deaf", "--plain", "--edited", code=2)
    assert "in groups already done" in line
    (told,) = (line for line in weaver("next", "stripes.yaml") if line.startswith("  sley"))
    assert "the file was edited since" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["wind", "stripes.yaml", "--together", "11"], "--together is 11; it goes from 1 to 10"),
        (["tie", "stripes.yaml", "--per-call", "0"], "--per-call is 0; it goes from 1 to 12"),
        (
            ["calls", "stripes.yaml", "--job", "sley", "--per-call", "25"],
            "--per-call is 25; it goes from 1 to 24",
        ),
        (
            ["sley", "no-reed.yaml"],
            "there is no sley plan to follow; write reed, with sett or sley, in the file",
        ),
    ],
)
def test_what_cannot_be_done_is_one_clear_line_and_begins_nothing(
    weaver: Weaver, tmp_path: Path, words: list[str], said: str
) -> None:
    (tmp_path / "no-reed.yaml").write_text("{shafts: 1, groups: [{thread: 1}]}")
    assert weaver(*words, code=2) == [f"heddlecall: {said}"]
    assert "no sitting yet" in weaver("log", code=2)[0]


def test_the_plan_goes_by_the_weavers_own_pace_and_a_damaged_journal_does_not_stop_it(
    weaver: Weaver, tmp_path: Path
) -> None:
    at_work(weaver, "heddles", 60)
    told = weaver("plan", "stripes.yaml")
    assert "  heddles: less than 1 min, at your pace" in told
    assert "  thread: about 20 min, by common practice" in told
    for file in (tmp_path / "data").iterdir():
        file.write_bytes(b"x" * 4096)
    assert "  thread: about 20 min, by common practice" in weaver("plan", "stripes.yaml")


WARP = """
{title: Probe, shafts: 4, sett: 15, reed: 10, sley: [1, 2], heddles: {1: 1}, yarns: {flachs: {}, rost: {}}, groups: [
  {name: kante, thread: 1 2 3 4}, {name: rose, thread: 3(1..4), yarn: "2 flachs, 1 rost", times: 2}]}
"""
TO_THE_END = """
w m u 23 2 n f ? n f b r p g a b + < n o 1 f 2 r 1 r a n o 1 f 1 r 1 r 4 r 3 r n n n n b u 2 r 3 r t n s 1 r n p n d 1 r
"""  # keys through every mode, with mistakes; then on to the end, whatever a job asks


def words_of(phrases: object) -> set[str]:
    """The words in the texts of a language file, but for the places in them."""
    match phrases:
        case str(text):
            return set(re.findall(r"[^\W\d_]+", re.sub(r"\{.*?\}", " ", text).lower()))
        case dict():
            return words_of(list(phrases.values()))
        case list():
            return {word for phrase in phrases for word in words_of(phrase)}
    return set()


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize("job", [[name] if name != "read" else ["check", "--read"] for name in PASSES], ids=" ".join)
def test_a_whole_job_is_told_in_words_of_its_language_alone(
    weaver: Weaver, tmp_path: Path, job: list[str], code: str
) -> None:
    """Nothing is left in English, and no phrase by its key or with its places unfilled; names are the weaver's own."""
    (tmp_path / "probe.yaml").write_text(WARP)
    typed = "\n".join([*TO_THE_END.split(), *["n", "g"] * 30, "f", "b", "t", "w", *["n"] * 30, "q"])
    told = "\n".join(weaver(*job, "probe.yaml", "--plain", "--mute", "--deaf", "--language", code, typed=typed + "\n"))
    told = re.sub("(?<![a-z])(probe|kante|rose|flachs|rost)(?![a-z])", " ", told.lower())
    language = load(code)
    own = words_of([*language.commands.values(), language.numbers, language.phrases, language.jobs])
    own |= words_of([language.labels, language.states, language.screen])
    assert not re.search("[{}]", told)
    if code == "ko":  # where words are joined to their neighbours
        assert not re.search("[a-z]", told)
    else:
        assert set(re.findall(r"[^\W\d_]+", told)) - own == set()


def test_a_file_whose_name_is_no_text_has_its_record(weaver: Weaver) -> None:
    """Names come as bytes from a stick or a share that an older system wrote."""
    file = "n\udcff.yaml"
    Path(file).write_text("{title: Odd, shafts: 4, groups: [{thread: 3(1 2)}]}")
    weaver("thread", file, "--plain", "--mute", "--deaf", typed="n\nq\n")
    assert "    4 of    6" in "\n".join(weaver("log", file))
    assert "go on where you left" in "\n".join(weaver("next", file))
    weaver("log", "--report", "out.html", "--csv", "out.csv")
    assert "n\\xff.yaml" in Path("out.html").read_text(encoding="utf-8")
