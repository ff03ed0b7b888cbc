"""Whose each file of a bundle is, under which licence, and where its source is to be had."""

import os
import platform
import re
import shutil
import subprocess
import sysconfig
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.metadata import Distribution, distribution, distributions
from pathlib import Path
from sys import base_prefix

from assistant.files import numbered
from assistant.version import told

GPL = Path(__file__).with_name("GPL-3.txt")
TEXTS = re.compile(r"(LICEN[CS]E|COPYING|NOTICE|AUTHORS)", re.IGNORECASE)
COMMON = re.compile(r"/usr/share/common-licenses/\w[\w.-]*\w")  # texts that Debian has once for all
WITHIN = {  # libraries that a package brings ready built, of which its own licence may not tell
    "cryptography": "OpenSSL, Apache-2.0, https://github.com/openssl/openssl",
    "espeakng-loader": "espeak-ng 1.52, GPL-3.0-or-later, https://github.com/espeak-ng/espeak-ng",
    "soundfile": "libsndfile, LGPL-2.1-or-later, https://github.com/libsndfile/libsndfile",
    "soxr": "libsoxr, LGPL-2.1-or-later, https://sourceforge.net/projects/soxr",
}
ABOUT = """This folder as a whole is given under the GNU General Public License, version 3 (GPL-3.txt), because
espeak-ng in it is. Heddlecall's own files are under the MIT licence, and the weights of its ear's embedding under the
Apache License 2.0; taken out of this folder they stay so. Whoever passes this folder on passes on the source of
what is in it, too, or says where it is: that of Heddlecall is the source package of the same version and commit.
The parts, each with its licence, whose text is in the folder licences, and where its source is:

"""


class Unknown(Exception):
    """Files in a bundle that belong to nothing whose licence is known."""


@dataclass(frozen=True, order=True)
class Part:
    """Something in a bundle that has a licence and a source of its own."""

    name: str
    version: str
    licence: str
    source: str
    texts: tuple[Path, ...]

    def __str__(self) -> str:
        within = f"\n    in it: {WITHIN[self.name]}" if self.name in WITHIN else ""
        return f"{self.name} {self.version}, {self.licence}\n    {self.source}{within}\n"


def collect(origins: Iterable[str], bundle: Path) -> list[Part]:
    """Put the licences of all these files into the bundle, with a list of them. Raises Unknown."""
    found = sorted({part for part in map(owner, {*origins}) if part} | {_of_package(distribution("pyinstaller"))})
    if bare := [part.name for part in found if not part.texts]:
        raise Unknown(f"no licence text: {', '.join(bare)}")
    for part in found:
        folder = bundle / "licences" / part.name
        folder.mkdir(parents=True)
        for text in part.texts:
            names = numbered(folder / f"{text.name.removesuffix('.txt')}.txt")
            shutil.copyfile(text, next(name for name in names if not name.exists()))
    shutil.copyfile(GPL, bundle / GPL.name)
    (bundle / "LICENCES.txt").write_text(ABOUT + "\n".join(map(str, found)), encoding="utf-8")
    return found


def owner(origin: str) -> Part | None:
    """What a file belongs to; None for what PyInstaller made itself, of what is listed. Raises Unknown."""
    file = os.path.realpath(origin)
    if package := _packages().get(file):
        return _of_package(package)
    if not os.path.isabs(origin) or Path(file).name == "base_library.zip":
        return _python()
    if any(Path(file).is_relative_to(sysconfig.get_path(which)) for which in ("stdlib", "platstdlib")):
        return _python()
    if shutil.which("dpkg-query"):
        for name in (origin, file, file.removeprefix("/usr")):
            if part := _of_debian(name):
                return part
    if Path(file).is_relative_to(base_prefix):
        return _python()
    raise Unknown(f"whose is {origin}?")


@cache
def _packages() -> dict[str, Distribution]:
    return {
        os.path.realpath(str(each.locate_file(file))): each for each in distributions() for file in each.files or ()
    }


@cache
def _of_package(package: Distribution) -> Part:
    name, about = package.name, package.metadata
    written = about["License-Expression"] or about["License"] or ""
    classified = [each.rpartition(" :: ")[2] for each in about.get_all("Classifier", []) if each.startswith("License")]
    licence = written.splitlines()[0] if written else ", ".join(classified) or "see its text"
    texts = tuple(_texts(package)) or ((GPL,) if "GPL-3" in WITHIN.get(name, "") else ())
    source = told() if name == "heddlecall" else f"https://pypi.org/project/{name}/{package.version}/"
    return Part(name, package.version, licence, source, texts)


def _texts(package: Distribution) -> Iterator[Path]:
    for file in sorted(package.files or (), key=str):
        if TEXTS.match(file.name) and file.suffix not in (".py", ".pyc"):
            yield Path(str(package.locate_file(file)))


@cache
def _python() -> Part:
    library, version = Path(sysconfig.get_path("stdlib")), platform.python_version()
    places = (
        *(
            folder / name
            for folder in (library, library.parent, Path(base_prefix))
            for name in ("LICENSE.txt", "LICENSE")
        ),
        Path("/usr/share/doc", library.name, "copyright"),
    )
    texts = tuple(place for place in places if place.is_file())[:1]
    return Part("Python", version, "PSF-2.0", f"https://www.python.org/ftp/python/{version}/", texts)


@cache
def _of_debian(file: str) -> Part | None:
    owned = subprocess.run(["dpkg-query", "-S", file], capture_output=True, text=True, check=False)
    if owned.returncode:
        return None
    name = owned.stdout.partition(":")[0]
    asked = ["dpkg-query", "-W", "-f=${Version} ${source:Package} ${source:Version}\n", name]
    version, source, of_source = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.split()[:3]
    texts = [text for text in [Path("/usr/share/doc", name, "copyright")] if text.is_file()]
    named = {each for text in texts for each in COMMON.findall(text.read_text(encoding="utf-8", errors="replace"))}
    texts += [text for text in map(Path, sorted(named)) if text.is_file()]
    at = f"https://snapshot.debian.org/package/{source}/{of_source}/"
    return Part(name, version, "see its text", at, tuple(texts))
