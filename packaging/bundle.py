"""One folder with the whole program for the machine it runs on, Python included: for whoever installs no Python.

    python -m venv made && made/bin/pip install '.[bundle,pedal]' && made/bin/python packaging/bundle.py --check

The folder is `heddlecall` in `--out`, and so is the command in it. `--check` runs it as if nothing else were there.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from licences import Unknown, collect

import assistant
from assistant.version import told

SPEC = Path(__file__).with_name("heddlecall.spec")
PROGRAM = "heddlecall.exe" if os.name == "nt" else "heddlecall"
ALONE_S = 300.0


def main() -> int:
    """Make it; exit code 1 where the check fails, 2 where it cannot be made."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--out", type=Path, default=Path("dist"), help="the folder to put it into (dist)")
    parser.add_argument("--check", action="store_true", help="run it in an empty environment afterwards")
    options = parser.parse_args()
    if not Path(assistant.__file__).with_name("sequences").is_dir():
        print("install heddlecall itself, not a link to the checkout: pip install '.[bundle]'", file=sys.stderr)
        return 2
    try:
        bundle = make(options.out.resolve())
    except (Unknown, subprocess.CalledProcessError) as error:
        print(f"no bundle: {error}", file=sys.stderr)
        return 2
    files = [file for file in bundle.rglob("*") if file.is_file() and not file.is_symlink()]
    print(f"{bundle}: {told()}, {len(files)} files, {sum(file.stat().st_size for file in files) / 1e6:.0f} MB")
    return check(bundle / PROGRAM) if options.check else 0


def make(out: Path) -> Path:
    """The bundle's folder, in `out`. Raises Unknown, CalledProcessError."""
    with tempfile.TemporaryDirectory() as work:
        settings = ["--noconfirm", "--log-level=ERROR", f"--distpath={out}", f"--workpath={work}"]
        subprocess.run([sys.executable, "-m", "PyInstaller", *settings, str(SPEC)], cwd=work, check=True)
        (origins,) = Path(work).rglob("origins.json")
        parts = collect(json.loads(origins.read_text()), out / "heddlecall")
    print(f"{len(parts)} parts with their licences")
    return out / "heddlecall"


def check(program: Path) -> int:
    """Run it as where nothing else is; a line for each command, and 1 where one does not do what it should."""
    failed = False
    with tempfile.TemporaryDirectory() as home:
        for words, typed, says, leaves in (
            ("--version", "", told(), ""),
            ("calls first-evening", "", "right edge: 4 ends", ""),
            ("demo", "", "wrong 0, missed 0", "demo.wav"),
            ("speak next --out next.wav", "", "", "next.wav"),
            ("hear next.wav", "", "next", ""),
            ("thread first-evening --plain --mute --deaf", "n", "right edge", "data/journal.sqlite3"),
            ("sley first-evening --plain --mute --deaf", "", "4 dents of 1", ""),  # nothing typed: it ends by itself
            ("log", "", "4 of 24 ends", ""),
            ("plan first-evening --card card.html", "", "heddles", "card.html"),
        ):
            done = _alone(program, words, typed, Path(home))
            sound = done.returncode == 0 and says in done.stdout and Path(home, leaves).exists()
            print(f"{'as it should' if sound else 'WRONG'}: heddlecall {words}")
            if not sound or words.startswith(("demo", "hear")):
                print(done.stdout + done.stderr)
            failed |= not sound
    return int(failed)


def _alone(program: Path, words: str, typed: str, home: Path) -> "subprocess.CompletedProcess[str]":
    """With nothing in the environment but a home of its own, and what Windows cannot do without."""
    env = {name: os.environ[name] for name in ("SYSTEMROOT",) if name in os.environ}
    env |= {"HOME": str(home), "HEDDLECALL_DATA": str(home / "data")}
    command = [str(program), *words.split()]
    return subprocess.run(
        command, env=env, cwd=home, input=typed, capture_output=True, text=True, timeout=ALONE_S, check=False
    )


if __name__ == "__main__":
    sys.exit(main())
