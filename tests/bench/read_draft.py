"""Reading a WIF of 100,000 ends beside Python's configparser, and importing one of 5,000.

python tests/bench/read_draft.py
"""

import random
import tempfile
from configparser import RawConfigParser
from pathlib import Path
from statistics import median

from parts.clock import seconds
from parts.options import asking

from assistant.drafting import import_draft
from assistant.warp.draft import read_draft
from assistant.words.language import load
from assistant.words.printed import Printed

ENDS, IMPORTED = 100_000, 5_000
ROUNDS = 5
COLOURS = ("0,0,0", "255,255,255", "160,40,40", "40,40,160")


def wif(shafts: list[int]) -> str:
    """A draft with a colour for each end."""
    head = f"[WIF]\nVersion=1.1\n[WEAVING]\nShafts=8\n[WARP]\nThreads={len(shafts)}\nUnits=Inches\nSpacing=0.05\n"
    table = "[COLOR PALETTE]\nRange=0,255\n[COLOR TABLE]\n" + _numbered(COLOURS)
    colours = [1 + at // 12 % len(COLOURS) for at in range(len(shafts))]
    return f"{head}{table}[THREADING]\n{_numbered(shafts)}[WARP COLORS]\n{_numbered(colours)}"


def _numbered(values: list[int] | tuple[str, ...]) -> str:
    return "".join(f"{number}={value}\n" for number, value in enumerate(values, 1))


def by_configparser(text: str) -> list[int]:
    """The shaft of each end, as Python's own reader gives it."""
    parser = RawConfigParser()
    parser.read_string(text)
    return [int(shaft) for shaft in parser["THREADING"].values()]


def main() -> None:
    """Both readers in turn, then the import of three kinds of draft."""
    asking(__doc__).parse_args()
    text = wif([1 + at * at % 8 for at in range(ENDS)])
    data = text.encode()
    assert [end.shafts[0] for end in read_draft(data, "bench.wif").ends] == by_configparser(text)
    rounds = [
        (seconds(lambda: read_draft(data, "bench.wif")), seconds(lambda: by_configparser(data.decode())))
        for _ in range(ROUNDS)
    ]
    ours, rival = median(r[0] for r in rounds), median(r[1] for r in rounds)
    print(f"read {ENDS:,} ends: {ours:.3f} s, configparser {rival:.3f} s: {ours / rival:.2f} times (target: under 3)")
    drawn = random.Random(1)
    unit = [drawn.randint(1, 8) for _ in range(125)]
    drafts = {
        "plain repeats": ([1, 2, 3, 4, 1, 4, 3, 2] * IMPORTED)[:IMPORTED],
        "a long repeat": unit * (IMPORTED // len(unit)),
        "no repeat at all": [drawn.randint(1, 8) for _ in range(IMPORTED)],
    }
    words = Printed(load("en"))
    with tempfile.TemporaryDirectory() as folder:
        file, out = Path(folder, "draft.wif"), Path(folder, "draft.yaml")
        for name, shafts in drafts.items():
            file.write_text(wif(shafts))
            taken = seconds(lambda: import_draft(file, "right", out, words, replace=True))
            print(f"import {IMPORTED:,} ends, {name}: {taken:.3f} s, {out.stat().st_size:,} bytes (target: under 1 s)")


if __name__ == "__main__":
    main()
