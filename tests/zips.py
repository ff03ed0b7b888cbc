"""Zips of models, sound and not."""

from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

NAME = "vosk-model-small-xx-0.1"
FILES = {f"{NAME}/am/final.mdl": bytes(range(256)) * 1200, f"{NAME}/conf/mfcc.conf": b"--use-energy=false\n"}


def packed(files: Mapping[str, bytes], *besides: tuple[ZipInfo, bytes]) -> bytes:
    """A zip that is the same whenever it is made, as tests have to be that are named after it in two processes."""
    into = BytesIO()
    with ZipFile(into, "w") as out:
        for name, content in files.items():
            out.writestr(ZipInfo(name), content)
        for member, content in besides:
            out.writestr(member, content)
    return into.getvalue()


def bomb(size: int) -> bytes:
    """A zip of a few kilobytes that tells to hold `size` bytes, in zeros."""
    into = BytesIO()
    with ZipFile(into, "w", ZIP_DEFLATED) as out, out.open(f"{NAME}/am/final.mdl", "w", force_zip64=True) as file:
        for _ in range(size >> 20):
            file.write(bytes(1 << 20))
    return into.getvalue()


def kept(folder: Path) -> list[str]:
    """All that lies in a folder, but for the lock."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.name != ".lock")
