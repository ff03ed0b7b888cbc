"""Drafts into sequence files, and out of them."""

from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from assistant.cli.arguments import WithFile, WithLanguage, WithReplace, file_to_write, whole
from assistant.cli.command import Command, When, argument
from assistant.output import show
from assistant.warp.model import MOST_SHAFTS, Edge
from assistant.warp.selvedge import MOST_AT_AN_EDGE


@dataclass(frozen=True, kw_only=True)
class ImportOptions(WithReplace, WithLanguage):
    """A draft, and where its sequence file goes."""

    draft: Path = argument(metavar="DRAFT", type=Path, help="a WIF file, or a list of numbers as text or CSV")
    out: Path = argument(
        "-o", "--out", metavar="FILE.yaml", type=file_to_write, required=True, help="the sequence file to write"
    )
    start: Edge = argument("--start", choices=get_args(Edge), required=True, help="the edge where its end 1 lies")
    shafts: int | None = argument(
        "--shafts",
        type=whole(1, MOST_SHAFTS),
        metavar="N",
        help="the shafts of the loom, where the draft is not to say",
    )
    floating: int | None = argument(
        "--floating", type=whole(0, MOST_AT_AN_EDGE), metavar="N", help="ends at either edge that float, in no heddle"
    )
    doubled: int | None = argument(
        "--doubled",
        type=whole(0, MOST_AT_AN_EDGE),
        metavar="N",
        help="heddles at either edge that have two of the draft's ends each",
    )


@dataclass(frozen=True, kw_only=True)
class WriteOptions(WithReplace, WithLanguage):
    """A threading, and where its sequence file goes."""

    out: Path = argument(metavar="FILE.yaml", type=file_to_write, help="the sequence file to write")
    threading: str = argument(metavar="SHAFTS", help='in order, as on a slip of paper: "1 2 3 4, 8(1 2 3 4), 8..1"')
    start: Edge = argument("--start", choices=get_args(Edge), required=True, help="the edge where its end 1 lies")


@dataclass(frozen=True, kw_only=True)
class ExportOptions(WithFile, WithReplace, WithLanguage):
    """A sequence file, and where its draft goes."""

    out: Path = argument(
        "-o", "--out", metavar="FILE.wif", type=file_to_write, required=True, help="the draft to write"
    )


def _import(options: ImportOptions) -> None:
    from assistant.drafting import import_draft
    from assistant.warp.draft import AskedOf

    wish = AskedOf(options.shafts, options.floating, options.doubled)
    show(import_draft(options.draft, options.start, options.out, options.printed, wish, replace=options.replace))


def _write(options: WriteOptions) -> None:
    from assistant.drafting import write_in

    show(write_in(options.threading, options.start, options.out, options.printed, replace=options.replace))


def _export(options: ExportOptions) -> None:
    from assistant.drafting import export_draft

    show(export_draft(options.path, options.out, options.printed, replace=options.replace))


COMMANDS = (
    Command(
        "import",
        "write a sequence file for a draft: WIF, or a plain list of numbers",
        ImportOptions,
        _import,
        When.BEFORE_THE_LOOM,
    ),
    Command("write", "write a sequence file for shafts that are typed", WriteOptions, _write, When.BEFORE_THE_LOOM),
    Command("export", "write the threading of a sequence file as WIF", ExportOptions, _export, When.BEFORE_THE_LOOM),
)
