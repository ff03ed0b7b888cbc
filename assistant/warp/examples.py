"""The ready examples, wherever the command is run."""

import os
from pathlib import Path

from assistant.errors import SequenceError

_PACKAGE = Path(__file__).parent.parent
_PLACES = (_PACKAGE / "sequences", _PACKAGE.parent / "sequences")  # as installed, and in a checkout
_ENDING = ".yaml"


def examples() -> dict[str, Path]:
    """Name -> sequence file, in the order of the names."""
    place = next((place for place in _PLACES if place.is_dir()), _PLACES[0])
    return {file.stem: file for file in sorted(place.glob(f"*{_ENDING}"))}


def find(name_or_path: str) -> Path:
    """A file that exists, or else the example of this name. Raises SequenceError where there is neither."""
    if os.path.exists(name_or_path):
        return Path(name_or_path)
    found = examples()
    name = name_or_path.removesuffix(_ENDING)
    if name not in found:
        what, todo = "there is no such file or example", "the examples are: {names}"
        raise SequenceError(what, todo, file=name_or_path, names=", ".join(found))
    return found[name]
