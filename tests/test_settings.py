"""The settings that stay: read in one clear line, changed without touching what else is in the file."""

import os
import random
import signal
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant import settings
from assistant.errors import SequenceError, SettingsError
from assistant.settings import WEAVERS, changed, parsed

NAMES = ("language", "weaver", "volume", "speed", "loudspeaker", "night", "thread-per-call")
KNOWN = dict.fromkeys(NAMES)
KILLS = 200

characters = st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), exclude_characters="\ufeff\ufffe\uffff")
texts = st.text(characters, min_size=1, max_size=20).filter(lambda text: text == text.strip())
weavers = st.one_of(st.just(""), texts)
changes = st.lists(st.tuples(st.sampled_from(NAMES), st.none() | texts, weavers), max_size=12)


def held(content: bytes) -> dict[tuple[str, str], str]:
    """Weaver and name -> the value."""
    found = parsed(content, KNOWN)
    return {
        (weaver, name): setting.text
        for weaver, kept in {"": found.everybody, **found.weavers}.items()
        for name, setting in kept.items()
    }


@given(changes)
def test_what_is_kept_is_what_was_asked_for(asked: list[tuple[str, str | None, str]]) -> None:
    """A file after a row of changes holds what a dictionary does, by our reader and by PyYAML's plainest."""
    content, wanted = b"# mine\n", dict[tuple[str, str], str]()
    for name, text, weaver in asked:
        if name == "weaver" and weaver:
            continue
        content = changed(content, name, text, weaver).encode()
        if text is None:
            wanted.pop((weaver, name), None)
        else:
            wanted[weaver, name] = text
        assert held(content) == wanted
    assert content.startswith(b"# mine\n")
    plain = yaml.load(content, yaml.BaseLoader) or {}
    hers = plain.pop(WEAVERS, {})
    assert {("", name): text for name, text in plain.items()} | {
        (weaver, name): text for weaver, kept in hers.items() for name, text in kept.items()
    } == wanted


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_any_bytes_are_settings_or_one_clear_line(content: bytes) -> None:
    told = ""
    try:
        held(content)
    except SequenceError as error:
        told = str(error)
    assert not told or told.startswith(f"{settings.path()}")
    assert "\n" not in told


OWN_HAND = """\
# for the evening
language: de   # at home

weavers:
    anna:  # my aunt
        speed: 190
        volume: -12
    berta:
        night: "yes"
speed: 160
"""


@pytest.mark.parametrize(
    ("change", "lines"),
    [
        (("language", "fi", ""), {"language: de   # at home": "language: fi   # at home"}),
        (("speed", "200", "anna"), {"        speed: 190": "        speed: 200"}),
        (("night", "no", "anna"), {"        volume: -12": "        volume: -12\n        night: no"}),
        (("volume", "-9", ""), {"speed: 160": "speed: 160\nvolume: -9"}),
        (("night", None, "berta"), {"    berta:\n": "", '        night: "yes"\n': ""}),
        (("speed", "150", "carla"), {'        night: "yes"': '        night: "yes"\n    carla:\n      speed: 150'}),
    ],
)
def test_a_change_leaves_all_else_as_it_was_written(change: tuple[str, str | None, str], lines: dict[str, str]) -> None:
    wanted = OWN_HAND
    for line, instead in lines.items():
        assert line in wanted
        wanted = wanted.replace(line, instead)
    name, text, weaver = change
    assert changed(OWN_HAND.encode(), name, text, weaver) == wanted


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        ("volume: -12\nvolme: 3\n", "2:1: unknown key 'volme'; did you mean 'volume'?"),
        ("volume: -12\n\nlanguage\n", "3:1: a key without its colon"),
        ("volume:\n  - 3\n", "2:3: volume is a list"),
        ("night: yes\nnight: no\n", "2:1: the key 'night' is given twice"),
        ("weavers: anna\n", "1:10: weavers holds no keys"),
        ("weavers:\n  anna:\n    weaver: berta\n", "3:5: unknown key 'weaver'"),
        ("- volume\n", "1:1: the file holds no keys"),
        ("volume: [\n", "2:1"),
        ("volume: \x07\n", "1:9: a control character"),
    ],
)
def test_a_complaint_names_line_and_column(content: str, complaint: str) -> None:
    with pytest.raises(SequenceError) as refused:
        held(content.encode())
    assert f"{settings.path()}:{complaint}" in str(refused.value)


def test_a_setting_written_within_braces_is_not_pulled_apart() -> None:
    with pytest.raises(SequenceError, match="write each setting on a line of its own"):
        changed(b"{language: de}", "speed", "190")
    assert changed(b"{language: de}", "language", "fi") == "{language: fi}"


@pytest.mark.parametrize("text", ["two\nlines", "\x07", "\ufffe", "\udc80", "", "x" * 300])
def test_what_cannot_be_written_is_not_kept(text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    settings.change("loudspeaker", "brass horn: 2 # left", "", KNOWN)
    with pytest.raises(SettingsError, match="plain text"):
        settings.change("speed", text, "", KNOWN)
    assert held(settings.path().read_bytes()) == {("", "loudspeaker"): "brass horn: 2 # left"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
def test_a_window_that_is_killed_leaves_the_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    chance = random.Random(22)
    settings.change("language", "de", "", KNOWN)
    for _ in range(KILLS):
        child = os.fork()
        if not child:
            for speed in range(100, 1000):
                settings.change("speed", str(speed), "", KNOWN)
            os._exit(0)
        time.sleep(chance.uniform(0, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        found = held(settings.path().read_bytes())
        assert found.pop(("", "language")) == "de"
        assert set(found) <= {("", "speed")}
