"""A record into a file."""

from pathlib import Path

from assistant.errors import RecordError
from assistant.files import write_whole


def ending(path: Path, endings: tuple[str, ...], what: str) -> Path:
    """The path, where its name ends in one of these. Raises RecordError, before anything is written."""
    if path.suffix.lower() not in endings:
        raise RecordError(f"{path}: {what} is written as {endings[0]}; end the name so")
    return path


def write(path: Path, text: str) -> None:
    """Write a text as UTF-8. Raises RecordError where that cannot be done."""
    try:
        write_whole(path, text.encode())
    except OSError as error:
        raise RecordError(f"{path}: cannot be written: {error.strerror}") from None
