"""A long public-domain text to be read aloud: the King James Version, of Debian's package bible-kjv-text."""

import re
import subprocess
from collections.abc import Iterator
from shutil import which

import numpy as np

WHOLE = "gen1:1-rev22:21"
VERSE = re.compile(r"\w+:(?P<number>\d+) (?P<text>.+)")  # Ge1:1 In the beginning ...
PAUSES = re.compile(r"(?<=[.?!:;])\s+")


def missing() -> str:
    """What to install, where there is no such text; else ""."""
    return "" if which("bible") else "prose: left out; apt install bible-kjv"


def sentences(chance: np.random.Generator) -> Iterator[str]:
    """From the beginning of a chapter chosen by chance, verse by verse and colon by colon, without end."""
    written = subprocess.run(["bible", "-f", WHOLE], check=True, capture_output=True, text=True).stdout
    verses = [verse for line in written.splitlines() if (verse := VERSE.fullmatch(line))]
    chapters = [place for place, verse in enumerate(verses) if verse["number"] == "1"]
    texts = [verse["text"] for verse in verses]
    first = int(chance.choice(chapters))
    while True:
        for text in texts[first:] + texts[:first]:
            yield from PAUSES.split(text.strip())
