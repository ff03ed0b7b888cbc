"""Which engine hears a language, and where its model lies."""

from collections.abc import Iterator
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import platformdirs

from assistant import folders
from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.taught import load_taught
from assistant.senses.ear.vosk_engine import VoskEngine
from assistant.senses.ear.words import TrainedWords
from assistant.words.language import Language, UntaughtEar

_CHECKOUT = Path(__file__).parents[3] / "models"


def open_engine(
    language: Language, model: Path | None = None, ear: UntaughtEar | None = None, weaver: str | None = None
) -> WordEngine:
    """The one built in, with what this weaver taught, or the one asked for.

    `model`: the folder of a vosk model to hear with. Raises DeviceMissing where vosk was asked for and there is no
    model or it cannot be read, LanguageError for words that it does not know, TaughtError where the weaver has taught
    nothing that can be used.
    """
    if weaver is not None or (model is None and ear is not UntaughtEar.VOSK):
        words = TrainedWords(language.code)
        return NeuralEngine(language, words, load_taught(weaver, Space(words)) if weaver is not None else None)
    if found := model or find_model(language.code):
        return VoskEngine(language, found)
    raise DeviceMissing(
        "no vosk model for {language}; heddlecall models add {code}, or give a folder with --model",
        language=Tell(language.name),
        code=language.code,
    )


def user_models() -> Path:
    """Where a weaver puts models."""
    return folders.data() / "models"


def find_model(code: str) -> Path | None:
    """The first model for a language: in the checkout, in the user's folder, or in an installed package."""
    return next(installed(code), None)


def installed(code: str) -> Iterator[Path]:
    """The models for a language, in the order in which they are looked for."""
    return (folder for folder in _folders(code) if is_model(folder))


def is_model(folder: Path) -> bool:
    """Whether a folder holds a vosk model, in the newer layout or the older, by what lies in it."""
    sounds = (folder / "am" / "final.mdl", folder / "final.mdl")
    settings = (folder / "conf", folder / "mfcc.conf")
    return any(file.is_file() for file in sounds) and any(path.exists() for path in settings)


def _folders(code: str) -> Iterator[Path]:
    usual = Path(platformdirs.user_data_dir("heddlecall"), "models")  # where all models once were
    for place in dict.fromkeys([_CHECKOUT, user_models(), usual]):
        yield from sorted(folder for folder in place.glob("*") if code in folder.name.split("-"))
    package = f"vosk_model_{code}"
    if find_spec(package):
        yield Path(str(files(package))) / "model"
