"""What an ear costs: to open, to listen, in memory, and in the wheel."""

import subprocess
import sys
import tempfile
from collections.abc import Mapping
from itertools import islice
from pathlib import Path

import numpy as np
from parts.conditions import CLEAN, said_in
from parts.ears import Ear
from parts.others import said_remarks
from parts.scoring import AtMost, Results, gather
from parts.voices import COMMANDS, EXAMPLES, lesson

SUBJECTS = ("taught", "untaught")
OF_OURS = ("this", "before")


def measure(told: str, name: str, ears: Mapping[str, Ear]) -> Results:
    """Of ears that were not asked anything yet: hearing a voice's commands, and two minutes of remarks by others."""
    talk = next(piece for _, piece in islice(said_remarks(name, 1, np.random.default_rng(0)), 1))
    sound = np.concatenate([said_in(name, COMMANDS, CLEAN, EXAMPLES)[0], talk])
    learnt = lesson(name, COMMANDS) if told == "taught" else {}
    results: Results = {}
    for ear, each in ears.items():
        if not (pupil := each(learnt)):
            continue
        opening = each.spent().opening_s
        pupil.hears(sound, 0)
        spent = each.spent()
        if not learnt:
            gather(results, ear, [("opening, s of the processor", AtMost(opening, 2))])
        gather(results, ear, [(f"listening, {told}, % of a core", AtMost(100 * spent.hearing_s / spent.heard_s, 1))])
        gather(results, ear, [(f"memory, {told}, MB, Python and all", AtMost(spent.resident_mb, 0))])
    return results


def wheels(checkouts: Mapping[str, Path]) -> Results:
    """The size of the wheel of each checkout with an ear of ours."""
    results: Results = {}
    for ear in OF_OURS:
        if ear in checkouts:
            gather(results, ear, [("wheel, MB", AtMost(_wheel(checkouts[ear]) / 1e6, 1))])
    return results


def _wheel(checkout: Path) -> int:
    """Its size in bytes."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "build", "--wheel", "--outdir", folder, str(checkout)]
        subprocess.run(command, check=True, capture_output=True)
        return next(Path(folder).glob("*.whl")).stat().st_size
