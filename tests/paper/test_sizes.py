"""Which paper is usual where."""

import shutil
import subprocess
from pathlib import Path

import pytest

from assistant import cli
from assistant.paper.sizes import A4, LETTER, of_locale, usual

# LC_PAPER of glibc 2.36's locales: height and width 279 and 216 in those of the first row, 297 and 210 in the others.
ON_LETTER = "en_US.UTF-8 es_MX fr_CA.ISO-8859-1 es_CL.UTF-8 fil_PH en_US@currency es_CO"
ON_A4 = "de_DE.UTF-8 en_GB sv_FI@euro ko_KR.eucKR es_AR es_ES C C.UTF-8 POSIX eo en zh_Hant_TW es_419"


@pytest.mark.parametrize("name", [*ON_LETTER.split(), "en-US", "es-Latn-MX"])
def test_letter_where_it_is_usual(name: str) -> None:
    assert of_locale(name) is LETTER


@pytest.mark.parametrize("name", [*ON_A4.split(), "", "rubbish", "_US", "en_USA"])
def test_a4_everywhere_else(name: str) -> None:
    assert of_locale(name) is A4


def test_the_first_variable_that_is_set_decides() -> None:
    """The order of POSIX.1-2017, 8.2: LC_ALL, the variable of the category, LANG; an empty one is as good as none."""
    assert usual({"LC_ALL": "de_DE", "LC_PAPER": "en_US", "LANG": "en_US"}) is A4
    assert usual({"LC_ALL": "", "LC_PAPER": "en_US.UTF-8", "LANG": "de_DE"}) is LETTER
    assert usual({"LANG": "es_MX.UTF-8"}) is LETTER
    assert usual({"LC_TIME": "en_US"}) is A4


def test_as_the_systems_own_locales_have_it() -> None:
    """Of every locale that is installed, by the program `locale` of the C library."""
    program = shutil.which("locale")
    if not program:
        pytest.skip("needs the program locale")
    names = subprocess.run([program, "-a"], capture_output=True, text=True, check=True).stdout.split()
    for name in names:
        told = subprocess.run(
            [program, "-k", "LC_PAPER"], capture_output=True, text=True, check=False, env={"LC_ALL": name}
        ).stdout
        if "height=" not in told:
            pytest.skip("this C library knows no LC_PAPER")
        assert ("height=279" in told) == (of_locale(name) is LETTER), name


def test_paper_is_chosen_at_the_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("LC_ALL", "en_US.UTF-8")
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    for option, size in (([], "215.9mm 279.4mm"), (["--paper", "A4"], "210mm 297mm")):
        card = tmp_path / f"{len(option)}.html"
        assert cli.main(["plan", "first-evening", "--card", str(card), *option]) == 0
        assert f"size: {size};" in card.read_text(encoding="utf-8")
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        cli.main(["plan", "first-evening", "--card", str(tmp_path / "x.html"), "--paper", "foolscap"])
    assert ended.value.code == 2
    told = capsys.readouterr().err
    assert "'foolscap' is no size of paper here; there are: a4, letter" in told
    assert "Traceback" not in told
