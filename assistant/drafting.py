"""Drafts in files: into sequence files, and out of them."""

import re
from pathlib import Path

from assistant.errors import DraftError, SequenceError, refusal
from assistant.files import open_plain
from assistant.meaning import Tell
from assistant.outfile import FileKind, Outfile
from assistant.warp.draft import Draft, edges, read_draft, read_list, to_warp, write_draft
from assistant.warp.draft.propose import propose
from assistant.warp.draft.reading import MOST_DRAFT_BYTES
from assistant.warp.model import MOST_SHAFTS, Edge, End, Warp
from assistant.warp.notation import Ends, parse
from assistant.warp.sequence import load, loads
from assistant.warp.source import MOST_CHARACTERS, one_line
from assistant.warp.spelling import shown
from assistant.words.printed import Printed

SEQUENCE = FileKind(
    Tell("a sequence file"), lambda data: all(re.search(key, data) for key in (rb"shafts\s*:", rb"groups\s*:"))
)
WIF = FileKind(Tell("a WIF draft"), lambda data: re.search(rb"(?im)^[ \t]*\[wif\]", data) is not None)

_NOT_TEXT = b"\xef\xbb\xbf\xfe\xff\0"  # byte order marks, and the zeros of UTF-16


def import_draft(file: Path, start: Edge, out: Path, words: Printed, *, replace: bool = False) -> list[str]:
    """Write a sequence file for a draft whose end 1 lies at this edge; returns what to tell the weaver.

    Raises DraftError where the draft cannot be read, OutfileError where `out` cannot be written.
    """
    written, draft = Outfile(out, SEQUENCE, replace), _read(file)
    origin = words.text(f"draft read from {start}", file=one_line(file.name))
    groups = _write(to_warp(draft, start), f"# {origin}\n\n", written, file)
    ends = Tell("ends on shafts", count=len(draft.ends), shafts=draft.shafts)
    if len(draft.yarns) > 1:
        ends = Tell("ends in yarns", ends=ends, yarns=len(draft.yarns))
    return [
        words.text("draft read", file=file, ends=ends, first=Tell(f"end 1 {start}")),
        *map(words.told, edges(draft, start)),
        *(words.text("warning", told=warning) for warning in draft.warnings),
        words.text("sequence written", file=out, count=groups),
    ]


def write_in(threading: str, start: Edge, out: Path, words: Printed, *, replace: bool = False) -> list[str]:
    """Write a sequence file for a threading in the notation, its end 1 at this edge; returns what to tell the weaver.

    Raises SequenceError where the threading cannot be read, OutfileError where `out` cannot be written.
    """
    written, ends = Outfile(out, SEQUENCE, replace), _typed(threading)
    shafts = max(shaft for end in ends for shaft in end)
    draft = Draft(one_line(out.stem)[:MOST_CHARACTERS], shafts, tuple(map(End, ends)), {}, None, "inch", ())
    groups = _write(to_warp(draft, start), "", written, out)
    return [*map(words.told, edges(draft, start)), words.text("sequence written", file=out, count=groups)]


def _typed(threading: str) -> Ends:
    """What is typed, whose places are told by its own characters. Raises SequenceError."""
    try:
        ends = parse(threading, shafts=MOST_SHAFTS).shafts
    except SequenceError as error:
        raise SequenceError(error.what, error.todo, file=shown(threading), column=error.column) from None
    if not ends:
        raise SequenceError("{name} has no ends", "write them, for instance 1 2 3 4", name=shown(threading))
    return ends


def _write(warp: Warp, remark: str, written: Outfile, file: Path) -> int:
    """Write the sequence file of a warp that `file` holds; returns how many groups it has."""
    text = f"{remark}{propose(warp)}"
    groups = len(_checked(text, warp, file).groups)
    written.write(text.encode())
    return groups


def export_draft(file: Path, out: Path, words: Printed, *, replace: bool = False) -> list[str]:
    """Write the threading and colours of a sequence file as WIF; returns what to tell the weaver.

    Raises SequenceError where the file cannot be read, OutfileError where `out` cannot be written.
    """
    written, warp = Outfile(out, WIF, replace), load(file)
    written.write(write_draft(warp).encode())
    lost = [yarn.name for yarn in warp.yarns.values() if not yarn.colour]
    ends = Tell("ends on shafts", count=warp.ends, shafts=warp.loom.shafts)
    return [
        words.text("draft written", file=out, ends=ends, first=Tell(f"end 1 {warp.start}")),
        *(words.text("warning", told=Tell("yarn without colour", yarn=name)) for name in lost),
    ]


def _read(file: Path) -> Draft:
    """The draft in a file: WIF, or a list of numbers."""
    try:
        with open_plain(file) as opened:
            data = opened.read(MOST_DRAFT_BYTES + 1)
    except OSError as error:
        what = "cannot be opened: {why}"
        raise DraftError(what, "check the name", file=str(file), why=refusal(error)) from None
    wif = file.suffix.lower() == ".wif" or data[:200].lstrip(_NOT_TEXT + b" \t\r\n")[:1] in (b"[", b";")
    return (read_draft if wif else read_list)(data, str(file))


def _checked(text: str, warp: Warp, file: Path) -> Warp:
    """The warp as it reads back from the sequence file, which has the same ends."""
    try:
        back = loads(text.encode(), str(file))
    except SequenceError as error:
        raise DraftError("too long for a sequence file", error.what, file=str(file)) from None
    if any(ours != theirs for ours, theirs in zip(back.every_end(), warp.every_end(), strict=True)):
        raise DraftError("cannot be written as a sequence file without a change", file=str(file))
    return back
