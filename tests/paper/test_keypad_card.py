"""The card of the keypad: every key where it lies, with all that it means."""

import re
from html import unescape
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.paper.keypad import card
from assistant.paper.sizes import A4, LETTER
from assistant.words.glossary import Glossary
from assistant.words.keypad import MEANINGS
from assistant.words.language import codes, load


@pytest.mark.parametrize("code", codes())
def test_all_that_keys_mean_stands_on_it(code: str) -> None:
    language = load(code)
    told = unescape(re.sub("<.*?>", " ", card(language)))
    labels = Glossary(language)
    assert all(labels.label(kind) in told for kind in MEANINGS.values())
    assert "{shift}" not in told


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("code", ["en", "fi", "ko"])
def test_it_is_one_page(code: str, paper: object) -> None:
    weasyprint = pytest.importorskip("weasyprint", reason="PDFs are made with WeasyPrint")
    assert len(weasyprint.HTML(string=card(load(code), paper)).render().pages) == 1  # type: ignore[arg-type]


def test_the_command_writes_it_and_teaches_nothing(tmp_path: Path) -> None:
    out = tmp_path / "keypad.html"
    assert main(["pedal", "--card", str(out)]) == 0
    assert "Numeric keypad" in out.read_text(encoding="utf-8")
    assert main(["pedal", "--card", str(tmp_path / "keypad.txt")]) == 2
