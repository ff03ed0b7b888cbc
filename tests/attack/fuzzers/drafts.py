"""Drafts: WIF files and lists of numbers, as they are read, and as the sequence files that are proposed for them.

The second opinions are Python's own configparser and csv.
"""

import configparser
import csv
import random
import re
from functools import cache
from math import isclose
from zlib import crc32

from assistant.errors import DraftError
from assistant.warp.draft import Draft, read_draft, read_list, to_warp, write_draft
from assistant.warp.draft.propose import propose
from assistant.warp.model import MOST_SHAFTS
from assistant.warp.sequence import loads
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import mangled, number
from fuzzers.sequences import ready

TITLES = ("Rose path", "", "한", "x" * 300)
FEW = 3000  # ends of which a sequence file is proposed


@cache
def written() -> tuple[bytes, ...]:
    """The examples as WIF."""
    return tuple(write_draft(loads(data, "ready.yaml")).encode()[:4000] for data in ready())


def _wif_given(chance: random.Random) -> bytes:
    ends = chance.choice((1, 4, 12, 40))
    shafts = chance.choice((4, 8))
    units, spacing = chance.choice(("Inches", "centimeters", "ells")), chance.choice(("0.05", "0.21", number(chance)))
    told = [
        *("[WIF]", "Version=1.1", "[CONTENTS]", "WEAVING=true", "WARP=yes"),
        *(f"THREADING={chance.choice(('true', 'no', '1'))}", "[TEXT]", f"Title={chance.choice(TITLES)}"),
        *("[WEAVING]", f"Shafts={shafts}", "[WARP]", f"Threads={chance.choice((ends, number(chance)))}"),
        *(f"Units={units}", f"Spacing={spacing}", "Color=1", "[COLOR PALETTE]", "Entries=2", "Form=RGB"),
        *(f"Range=0,{chance.choice(('255', '999', number(chance)))}", "[COLOR TABLE]", "1=200,100,50"),
        *(f"2=0,{number(chance)},9", "[WARP COLORS]"),
        *(f"{end}={chance.randint(1, 2)}" for end in range(1, ends + 1) if chance.random() < 0.3),
        *("[THREADING]", *(f"{end}={_shafts(chance, shafts)}" for end in range(1, ends + 1))),
    ]
    data = chance.choice(("\n", "\r\n", "\r", "\n")).join(told).encode()
    if chance.random() < 0.1:
        data = chance.choice(written())
    return data if chance.random() < 0.15 else mangled(chance, data, written())


def _shafts(chance: random.Random, shafts: int) -> str:
    return ",".join(str(chance.randint(1, shafts)) for _ in range(chance.choice((1, 1, 1, 1, 2))))


def _wif_tried(data: bytes) -> None:
    draft = _read(read_draft, data, "odd.wif")
    _check_proposed(draft, data)
    warp = to_warp(draft, "right")
    again = read_draft(write_draft(warp).encode(), "odd.wif")
    law([end.shafts for end in again.ends] == [end.shafts for end in draft.ends], "written and read, other ends")
    law([end.joins for end in again.ends] == [end.joins for end in draft.ends], "written and read, others joined")
    law(again.unit == draft.unit or draft.sett is None, "another unit")
    law(
        again.sett == draft.sett or isclose(again.sett or 0, draft.sett or 0, rel_tol=1e-4),
        again.sett,
        "not",
        draft.sett,
    )
    _check_by_configparser(data, draft)


def _check_by_configparser(data: bytes, draft: Draft) -> None:
    """The ends are those that configparser finds, where it can read the file and has no doubt."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return
    plain = "\n".join(line.strip() for line in re.split("\r\n|\r|\n", text))
    parser = configparser.RawConfigParser(
        strict=True, delimiters=("=",), comment_prefixes=(";",), inline_comment_prefixes=(";",), allow_no_value=True
    )
    try:
        parser.read_string(plain)
    except (configparser.Error, AttributeError):
        return
    named = [name for name in parser.sections() if " ".join(name.upper().split()) == "THREADING"]
    if named != ["THREADING"]:
        return
    rows = {key: (value or "").partition(";")[0] for key, value in parser["THREADING"].items()}
    if not all(re.fullmatch("[1-9][0-9]{0,6}", key, re.ASCII) for key in rows) or parser.defaults():
        return
    ends = []
    for key in sorted(rows, key=int):
        shafts = tuple(dict.fromkeys(int(shaft.strip()) for shaft in rows[key].split(",") if shaft.strip()))
        ends.append(tuple(shaft for shaft in shafts if shaft))
    law([end for end in ends if end] == _hung(draft), "other ends than configparser finds")


def _hung(draft: Draft) -> list[tuple[int, ...]]:
    """The shafts of the ends that do not float."""
    return [end.shafts for end in draft.ends if end.shafts]


def _read(read, data: bytes, file: str) -> Draft:  # type: ignore[no-untyped-def]
    try:
        draft: Draft = read(data, file)
    except DraftError as error:
        law(str(error).startswith(file), "does not name the file:", error)
        raise
    law(draft.ends and 1 <= draft.shafts <= MOST_SHAFTS, draft.shafts, "shafts")
    law(all(1 <= shaft <= draft.shafts for end in draft.ends for shaft in end.shafts), "an end beyond the shafts")
    law(any(end.shafts for end in draft.ends), "no end on a shaft")
    return draft


def _check_proposed(draft: Draft, data: bytes) -> None:
    """What is proposed reads back with the same ends; of one draft in four, since it takes long."""
    if len(draft.ends) > FEW or crc32(data) % 4:
        return
    warp = to_warp(draft, "left")
    back = loads(propose(warp).encode(), "proposed.yaml")
    law(list(back.every_end()) == list(warp.every_end()), "the sequence file that is proposed has other ends")


def _list_given(chance: random.Random) -> bytes:
    ends = [_shafts(chance, 8).replace(",", "/") for _ in range(chance.choice((1, 4, 30)))]
    heading = chance.choice(("", "", "", "end,shaft\n", "Shaft\n", "Einzug 2\n"))
    if chance.random() < 0.3:
        ends = [chance.choice(("1234", "12", "~", "1*2", "x", "0", end)) for end in ends]
    body = chance.choice((" ", ",", "\n", "-", ";", "\t", '","', "\r\n")).join(ends)
    if "," in heading:
        body = "\n".join(f"{at},{end}" for at, end in enumerate(ends, 1))
    data = (heading + body).encode()
    return data if chance.random() < 0.15 else mangled(chance, data, (b"1,2,3,4\n5/6 7",))


def _list_tried(data: bytes) -> None:
    draft = _read(read_list, data, "odd.csv")
    _check_proposed(draft, data)
    if not _compact(draft) and re.fullmatch(rb"[0-9/, \n]+", data):
        rows = [cell for row in csv.reader(data.decode().splitlines()) for cell in row]
        cells = [piece for cell in rows for piece in cell.split()]
        ends = [tuple(dict.fromkeys(n for n in map(int, cell.split("/")) if n)) for cell in cells]
        law([end for end in ends if end] == _hung(draft), "other ends than csv finds")


def _compact(draft: Draft) -> bool:
    """Whether digits were taken for an end each, as is said then."""
    return any(said.phrase == "digits taken for ends" for said in draft.warnings)


FUZZERS = (
    Fuzzer("WIF drafts", 50_000, _wif_given, _wif_tried),
    Fuzzer("lists of numbers", 60_000, _list_given, _list_tried),
)
