"""The front door: wherever one goes in it there are choices, each with a command that is one, and a way back."""

import shlex
from dataclasses import replace
from random import Random

import pytest

from assistant import cli
from assistant.cli.front import kept
from assistant.front.leaves import opened
from assistant.front.values import HALL, Doing, Known, KnownWarp, Leaf, LeafName
from assistant.front.visit import DIGITS, MORE, Visit, back, done, entered, on_sheet, press
from assistant.front.worded import FrontWords, command, rows
from assistant.meaning import Tell
from assistant.session.history import History
from assistant.session.upcoming import Standing, Upcoming
from assistant.session.view import GroupLine, GroupState
from assistant.warp.passes import PASSES, THREAD
from assistant.warp.passes.pace import time
from assistant.words.columns import columns
from assistant.words.language import codes, load

NOT_BEGUN = tuple(Standing(job) for job in PASSES if job != "thread")
GROUP = GroupLine("edge", 96, 40, GroupState.OPEN)
HISTORY = History("Scarf", "thread", "end", 96, (GROUP,), (), None, 56)
STANDINGS = (*NOT_BEGUN, Standing("thread", HISTORY, 1.0, left=time(THREAD, 56, None)))
WIND = ("heddlecall wind 'my scarf.yaml'",)
SCARF = KnownWarp(
    "my scarf.yaml",
    "Scarf",
    Upcoming("Scarf", 96, "back-to-front", STANDINGS, "wind", Tell("begin with any job"), WIND),
    groups=("edge",),
)
LOST = KnownWarp("gone.yaml", "Gone", why=Tell("file no longer there", file="gone.yaml"))
FRESH = Known(examples=("first-evening", "hearth-runner"), languages={code: code for code in codes()}, settings=kept())
USED = replace(
    FRESH,
    warps=(SCARF, LOST, *(KnownWarp(f"{n}.yaml", f"Warp {n}") for n in range(4))),
    warp=SCARF,
    sequences=("a.yaml", "b c.yaml"),
    drafts=("d.wif",),
)


def pressed(visit: Visit, known: Known, keys: str) -> Visit:
    for key in keys.split():
        visit = press(visit, known, key)
    return visit


def everywhere(known: Known) -> list[Leaf]:
    """Each leaf that choices and typed texts lead to, from where one comes in."""
    reached, rest = list[Leaf](), [entered(known).leaf, HALL]
    while rest:
        leaf = rest.pop()
        if leaf in reached:
            continue
        reached.append(leaf)
        here = opened(leaf, known)
        picks = [*here.picks, *([here.asks.becomes("3"), here.asks.becomes("")] if here.asks else [])]
        rest += [pick.to for pick in picks if pick.to]
    return reached


OF_WHAT_IS_THERE = {
    LeafName.MISTAKE,
    LeafName.HOW_OFF,
    LeafName.HOW_MANY,
    *(LeafName.WARPS, LeafName.JOBS, LeafName.NOTE, LeafName.FILES, LeafName.DRAFTS),
}


@pytest.mark.parametrize(("known", "lacking"), [(FRESH, OF_WHAT_IS_THERE), (USED, set())], ids=["fresh", "used"])
def test_every_choice_stands_for_a_command_or_leads_on(known: Known, lacking: set[LeafName]) -> None:
    reached, parser = everywhere(known), cli._parser()
    assert {leaf.name for leaf in reached} == {*LeafName} - lacking
    for leaf in reached:
        here = opened(leaf, known)
        assert here.asks or here.picks or known.warp is None, leaf
        for pick in (*here.picks, *([here.asks.becomes("3")] if here.asks else [])):
            assert pick.lines or pick.to, (leaf, pick)
            for words in pick.lines:
                assert parser.parse_args(words).command.name == words[0]
                assert shlex.split(command((words,))) == ["heddlecall", *words]


def test_a_digit_chooses_and_where_there_are_more_the_last_one_turns_the_sheet() -> None:
    visit = pressed(Visit((HALL,)), USED, "8")
    assert visit.leaf.name is LeafName.SETTINGS
    every = opened(visit.leaf, USED).picks
    seen = []
    for _ in range(-(-len(every) // (DIGITS - 1))):
        shown = on_sheet(visit, every)
        seen += [pick for pick in shown if pick is not MORE]
        assert len(shown) <= DIGITS
        visit = press(visit, USED, str(len(shown)))
    assert seen == list(every)
    assert visit.sheet == 0


def test_arrows_and_enter_do_as_digits_do() -> None:
    by_arrows = pressed(Visit((HALL,)), FRESH, "down enter down down up enter")
    assert by_arrows == pressed(Visit((HALL,)), FRESH, "2 2")
    assert pressed(Visit((HALL,)), FRESH, "up").at == 3


@pytest.mark.parametrize("key", ["escape", "q", "0", "backspace"])
def test_back_leads_to_where_one_was_and_from_the_hall_out(key: str) -> None:
    visit = pressed(Visit((HALL,)), USED, "7 3")
    assert visit.leaf.name is LeafName.SOUND
    there = press(visit, USED, key)
    assert there.leaf.name is LeafName.SET_UP
    assert press(there, USED, key) == Visit((HALL,))
    assert press(Visit((HALL,)), USED, key).left


def test_a_digit_that_chooses_nothing_is_told_of() -> None:
    words = FrontWords(load("en"))
    visit = press(Visit((HALL,)), FRESH, "7")
    assert words.view(visit, FRESH).said == "Choices here go from 1 to 4."
    assert words.view(press(visit, FRESH, "down"), FRESH).said == ""


def test_five_steps_lead_to_the_first_warp_and_each_can_be_left_out() -> None:
    visit = entered(FRESH)
    titles = []
    for key in ("8", "enter", "9", "5", "2"):
        titles.append(visit.leaf.name)
        visit = press(visit, FRESH, key)
    assert titles == [LeafName.LANGUAGE, LeafName.NAME, LeafName.SOUND, LeafName.EAR, LeafName.PEDAL]
    visit = press(visit, FRESH, "1")
    assert visit.runs
    assert (visit.runs.lines, visit.runs.doing) == ((("thread", "first-evening"),), Doing.SIT)
    assert done(visit, 0, ()).way == (HALL, Leaf(LeafName.WARP, ("first-evening",)))
    assert entered(replace(FRESH, warps=(SCARF,))).leaf == HALL
    assert press(entered(FRESH), FRESH, "9").leaf == HALL


def test_an_answer_is_kept_by_the_settings_and_leads_on() -> None:
    visit = press(entered(FRESH), FRESH, "4")
    assert visit.runs
    assert [words[:2] for words in visit.runs.lines] == [("settings", "language")]
    assert press(visit, FRESH, "1") == visit  # nothing else meanwhile
    named = pressed(done(visit, 0, ["kept"]), FRESH, "A n n a space B enter")
    assert named.runs
    assert named.runs.lines == (("settings", "weaver", "Anna B"),)
    assert done(named, 2, ["cannot be kept"]).leaf.name is LeafName.NAME
    assert done(named, 2, ["cannot be kept"]).said == "cannot be kept"


def test_a_warp_is_written_in() -> None:
    visit = pressed(Visit((HALL,)), FRESH, "1 5 r u g enter 2 4 ( 1 . . 4 ) enter")
    assert visit.runs
    assert visit.runs.lines == (("write", "rug.yaml", "4(1..4)", "--start", "left"),)
    after = done(visit, 0, ["written"])
    assert after.way == (HALL, Leaf(LeafName.WARP, ("rug.yaml",)))
    assert back(after).leaf == HALL


def test_a_cloth_is_planned_from_what_is_asked_one_after_the_other() -> None:
    """The yarn may be left out; of what a cloth cannot do without nothing is gone past."""
    visit = pressed(Visit((HALL,)), FRESH, "1 6 enter 2 0 i n enter 3 y d enter 2 0 enter")
    assert visit.leaf == Leaf(LeafName.CLOTH, ("20in", "3yd", "20"))
    for typed, given in (("8 / 2 space N e enter", ("--yarn=8/2 Ne",)), ("enter", ())):
        asked = pressed(visit, FRESH, typed)
        assert asked.runs
        assert asked.runs.lines == (("plan", "--width=20in", "--cloth=3yd", "--sett=20", *given),)
    view = FrontWords(load("en")).view(done(asked, 0, ["a plan"]), FRESH)
    assert (view.title, view.reading) == ("Plan a cloth", ("a plan",))


def test_what_a_command_prints_is_read_until_one_goes_back() -> None:
    visit = press(Visit((HALL, Leaf(LeafName.WARP, ("my scarf.yaml",)))), USED, "3")
    read = done(visit, 1, ["a plan", "that does not fit"])
    assert FrontWords(load("en")).view(read, USED).reading == ("a plan", "that does not fit")
    assert press(read, USED, "1") == read
    assert press(read, USED, "q").reading == ()
    assert press(read, USED, "q").leaf == visit.leaf


def test_a_screen_of_its_own_is_asked_for_with_each_job() -> None:
    known = replace(USED, sits=("--page",))
    view = FrontWords(load("en")).view(Visit((HALL, Leaf(LeafName.WARP, ("my scarf.yaml",)))), known)
    assert view.line == "heddlecall wind 'my scarf.yaml' --page"
    assert view.offered[2].line == "heddlecall plan 'my scarf.yaml'"


@pytest.mark.parametrize("code", codes())
def test_every_leaf_is_worded_and_fits_a_narrow_terminal(code: str) -> None:
    words, text = FrontWords(load(code)), ""
    for known in (FRESH, USED):
        for leaf in everywhere(known):
            view = words.view(Visit((HALL, leaf)), known)
            text += f"{view.title} {view.told} {view.asked} {view.keys}"
            for width, height in ((60, 11), (80, 15)):
                lines = rows(view, width, height)
                assert all(columns(line) <= width for line in lines)
                assert not any("…" in line for line in lines), (leaf, lines)
    assert not any(mark in text for mark in "{}")


@pytest.mark.parametrize("seed", range(20))
def test_whatever_is_pressed_there_is_something_to_see(seed: int) -> None:
    keys = Random(seed)
    known, words = keys.choice([replace(FRESH, warp=LOST), USED]), FrontWords(load("en"))
    visit = entered(known)
    for _ in range(100):
        key = keys.choice(
            [*"0123456789q+-/*é한", "enter", "up", "down", "escape", "backspace", "home", "end", "f1", ""]
        )
        visit = press(visit, known, key)
        if visit.runs:
            visit = done(visit, keys.choice([0, 0, 1, 2, 130]), keys.choice([(), ("one", "two")]))
        if visit.left:
            visit = entered(known)
        view = words.view(visit, known)
        assert view.title
        assert view.offered or view.asked or view.told or view.reading
        assert not view.offered or view.at < len(view.offered)


def test_each_setting_has_a_name_in_words() -> None:
    assert {f"setting {name}" for name in kept()} <= {*load("en").front}
