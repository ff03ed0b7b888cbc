"""Documents from layouts, and into files: HTML, PDF from the same HTML, or a table."""

import io
import re
from contextlib import redirect_stdout
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant.errors import CardError, RecordError
from assistant.meaning import Tell
from assistant.outfile import FileKind, Outfile
from assistant.output import legible

NO_LIBRARY = Tell(
    "a PDF needs WeasyPrint: pip install 'heddlecall[cards]'; or write the card to OUT.html and print it from a browser"
)
NO_PANGO = Tell(
    "a PDF needs the library Pango: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; "
    "or write the card to OUT.html and print it from a browser"
)


MARK = "heddlecall"  # in a document, so that one of ours is known
_MARKED = f'name="generator" content="{MARK}"'.encode()
HTML = FileKind(Tell("a page written by heddlecall"), lambda data: _MARKED in data)
PDF = FileKind(Tell("a PDF"), lambda data: data.startswith(b"%PDF-"))


def card_file(path: Path, replace: bool = False) -> Outfile:
    """Where cards go: a path that ends in .html or .pdf. Raises CardError, OutfileError, before anything is written."""
    kinds = {".html": HTML, ".htm": HTML, ".pdf": PDF}
    if path.suffix.lower() not in kinds:
        raise CardError("{file}: a card is HTML or PDF; end the name in .html or .pdf", file=path)
    return Outfile(path, kinds[path.suffix.lower()], replace)


def write_cards(html: str, out: Outfile) -> None:
    """Write the document as what the file is to be. Raises CardError, OutfileError."""
    out.write(pdf(html) if out.kind is PDF else html.encode())


def pdf(html: str) -> bytes:
    """The document as PDF; nothing is fetched. Raises CardError where WeasyPrint, or what it needs, is missing."""
    try:
        with redirect_stdout(io.StringIO()):  # where WeasyPrint tells at length what it misses
            import weasyprint
    except ImportError:
        raise CardError(NO_LIBRARY) from None
    except OSError:
        raise CardError(NO_PANGO) from None
    document: bytes = weasyprint.HTML(string=html).write_pdf()
    return document


def ending(path: Path, endings: tuple[str, ...], what: Tell) -> Path:
    """The path, where its name ends in one of these. Raises RecordError, before anything is written."""
    if path.suffix.lower() not in endings:
        raise RecordError(
            "{file}: {what} is written as {ending}; end the name so",
            file=path,
            what=what,
            ending=endings[0],
        )
    return path


def unparted(text: str) -> str:
    """A phrase in which no number goes to another line than the unit, or the word, that follows it."""
    return re.sub(r"(?<=\d) (?=[^\W\d_]|%)", "\u00a0", text)


def layouts() -> Environment:
    """The layouts, ready to be given filters; what is filled in is shown as legible text, whatever it contains."""
    return Environment(
        loader=FileSystemLoader(Path(__file__).with_name("layouts")),
        autoescape=True,
        finalize=lambda value: legible(value) if type(value) is str else value,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
