"""Documents from layouts in a folder: what is filled in is shown as text, whatever it contains."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined


def layouts(folder: Path) -> Environment:
    """The layouts of a folder, ready to be given filters and filled in."""
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
