"""Documents from layouts, and into files: HTML, PDF from the same HTML, or a table."""

import io
from contextlib import redirect_stdout
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant.errors import CardError, RecordError, refusal
from assistant.files import write_whole
from assistant.meaning import Tell

NO_LIBRARY = Tell(
    "a PDF needs WeasyPrint: pip install 'heddlecall[cards]'; or write the card to OUT.html and print it from a browser"
)
NO_PANGO = Tell(
    "a PDF needs the library Pango: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; "
    "or write the card to OUT.html and print it from a browser"
)


def write_cards(html: str, path: Path) -> None:
    """Write the document to a path that ends in .html or .pdf. Raises CardError where that cannot be done."""
    writers = {".html": _utf_8, ".htm": _utf_8, ".pdf": pdf}
    if path.suffix.lower() not in writers:
        raise CardError("{file}: a card is HTML or PDF; end the name in .html or .pdf", file=path)
    document = writers[path.suffix.lower()](html)
    try:
        write_whole(path, document)
    except OSError as error:
        raise CardError("{file}: cannot be written: {why}", file=path, why=refusal(error)) from None


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


def _utf_8(html: str) -> bytes:
    return html.encode()


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


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8. Raises RecordError where that cannot be done."""
    try:
        write_whole(path, text.encode())
    except OSError as error:
        raise RecordError("{file}: cannot be written: {why}", file=path, why=refusal(error)) from None


def layouts() -> Environment:
    """The layouts, ready to be given filters; what is filled in is shown as text, whatever it contains."""
    return Environment(
        loader=FileSystemLoader(Path(__file__).with_name("layouts")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
