"""Wheel and source of this checkout, built and checked, and the notes of the version; nothing is uploaded.

python -m venv made && made/bin/pip install '.[dev]' && made/bin/python packaging/release.py
"""

import argparse
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
CHECKS = (("twine", "check", "--strict"), ("check_wheel_contents",))


class Refused(Exception):
    """Why there is no release."""


def main() -> int:
    """Exit code 2 where the checkout is no release, 1 where what was built of it is none."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--out", type=Path, default=ROOT / "dist", help="the folder to put them into (dist)")
    options = parser.parse_args()
    try:
        refuse_what_is_not_committed(ROOT)
        version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
        title, notes = section((ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), version)
        built = _build(options.out.resolve(), version)
    except Refused as refused:
        print(f"no release: {refused}", file=sys.stderr)
        return 2
    except subprocess.CalledProcessError as error:
        print(f"no release: {error}", file=sys.stderr)
        return 1
    print(f"\n{title}\n\n{notes}\n")
    print(*built, sep="\n")
    if not re.search(r", \d{4}-\d\d-\d\d$", title):
        print("a rehearsal: the version has no date in CHANGELOG.md yet", file=sys.stderr)
    return 0


def section(changelog: str, version: str) -> tuple[str, str]:
    """The heading of a version and what stands below it. Raises Refused where it has none, or nothing stands there."""
    for part in re.split(r"^## ", changelog, flags=re.MULTILINE)[1:]:
        title, _, notes = part.partition("\n")
        if title.partition(",")[0] == version and notes.strip():
            return title, notes.strip()
    raise Refused(f"CHANGELOG.md has no section {version}")


def refuse_what_is_not_committed(checkout: Path) -> None:
    """Raises Refused, also where git knows nothing of the folder."""
    done = subprocess.run(["git", "status", "--porcelain"], cwd=checkout, capture_output=True, text=True, check=False)
    if done.returncode:
        raise Refused(f"{checkout} is no checkout")
    if changed := [line[3:] for line in done.stdout.splitlines()]:
        raise Refused(f"not committed: {', '.join(changed)}")


def _build(out: Path, version: str) -> list[Path]:
    """The source package, and the wheel built of it. Raises Refused, CalledProcessError."""
    if out.is_dir() and any(out.iterdir()):
        raise Refused(f"{out} is not empty")
    _run("build", f"--outdir={out}", stdout=subprocess.DEVNULL)
    source, wheel = out / f"heddlecall-{version}.tar.gz", out / f"heddlecall-{version}-py3-none-any.whl"
    for tool, *words in CHECKS:
        packages = [wheel, source] if tool == "twine" else [wheel]
        _run(tool, *words, *map(str, packages))
    return [source, wheel]


def _run(module: str, *words: str, stdout: int | None = None) -> None:
    subprocess.run([sys.executable, "-P", "-m", module, *words], cwd=ROOT, stdout=stdout, check=True)


if __name__ == "__main__":
    sys.exit(main())
