"""What a release refuses, and its notes."""

import subprocess
import sys
from pathlib import Path

import pytest
import release

ROOT = Path(__file__).parent.parent
CHANGELOG = """# Changelog

## 0.2.0, 2027-02-14

- Ends are told by their colour.

## 0.1.0, not yet released

- `heddlecall thread`.
- `heddlecall log`.
"""


def test_the_notes_are_the_section_of_the_version() -> None:
    assert release.section(CHANGELOG, "0.2.0") == ("0.2.0, 2027-02-14", "- Ends are told by their colour.")
    assert release.section(CHANGELOG, "0.1.0")[1].splitlines() == ["- `heddlecall thread`.", "- `heddlecall log`."]


@pytest.mark.parametrize("version", ["0.2", "0.2.1", "Changelog"])
def test_a_version_without_a_section_is_refused(version: str) -> None:
    with pytest.raises(release.Refused, match=f"no section {version}"):
        release.section(CHANGELOG, version)


def test_a_section_that_says_nothing_is_none() -> None:
    with pytest.raises(release.Refused):
        release.section("## 0.3.0, 2027-03-01\n\n## 0.2.0, 2027-02-14\n\n- More.\n", "0.3.0")


def test_this_version_has_its_notes() -> None:
    stated = next(line for line in (ROOT / "pyproject.toml").read_text().splitlines() if line.startswith("version = "))
    assert release.section((ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), stated.split('"')[1])[1]


def test_a_checkout_with_something_not_committed_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "packaging").mkdir()
    script = tmp_path / "packaging" / "release.py"
    script.write_bytes(Path(release.__file__).read_bytes())
    subprocess.run(["git", "init", "-q"], cwd=tmp_path, check=True)
    done = subprocess.run([sys.executable, str(script)], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "no release: not committed: packaging/\n"


def test_a_folder_that_is_no_checkout_is_refused(tmp_path: Path) -> None:
    with pytest.raises(release.Refused, match="is no checkout"):
        release.refuse_what_is_not_committed(tmp_path)
