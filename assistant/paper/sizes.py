"""Sizes of paper, and the one that is usual where the weaver lives."""

import os
import re
import sys
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, upright; in millimetres."""

    name: str
    width: float
    height: float

    @property
    def css(self) -> str:
        """As a size of CSS."""
        return f"{self.width}mm {self.height}mm"


A4 = Paper("a4", 210, 297)
LETTER = Paper("letter", 215.9, 279.4)
PAPERS = {paper.name: paper for paper in (A4, LETTER)}
# Territories that print on letter, as LC_PAPER has it in the locales of glibc 2.36.
ON_LETTER = {"BO", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"}


def usual(environment: Mapping[str, str] = os.environ) -> Paper:
    """The paper of the system's locale: LC_ALL, LC_PAPER or LANG, the first that is set, else as Windows has it."""
    names = (environment.get(name) for name in ("LC_ALL", "LC_PAPER", "LANG"))
    return of_locale(next(filter(None, names), "") or _of_windows())


def of_locale(name: str) -> Paper:
    """Letter where the territory of a locale ("es_MX.UTF-8") prints on it, else A4, as in the locale "C"."""
    found = re.match(r"[A-Za-z]+(?:[_-][A-Za-z]{4})?[_-]([A-Za-z]{2})(?![A-Za-z0-9])", name)
    return LETTER if found and found[1].upper() in ON_LETTER else A4


def _of_windows() -> str:
    """The weaver's locale there, "en-US"; "" on other systems."""
    if sys.platform != "win32":
        return ""
    import ctypes

    name = ctypes.create_unicode_buffer(85)  # LOCALE_NAME_MAX_LENGTH
    ctypes.windll.kernel32.GetUserDefaultLocaleName(name, len(name))
    return name.value
