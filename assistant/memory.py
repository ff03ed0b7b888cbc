"""How the C library keeps memory that was freed, where it is glibc; else nothing changes. Imports nothing of ours."""

import ctypes
import sys

M_ARENA_MAX = -8  # malloc.h
ARENAS = 2


def few_arenas() -> None:
    """Let all threads from now on share this many arenas: mallopt(3). To be called before there are many threads.

    Otherwise each new thread may get one of its own, and what is freed in it is of use to no other.
    """
    if library := _glibc():
        library.mallopt(M_ARENA_MAX, ARENAS)


def give_back() -> None:
    """Give the system back what is freed and kept: malloc_trim(3)."""
    if library := _glibc():
        library.malloc_trim(0)


def keep_freed(size: int) -> None:
    """Keep what is freed to be used again, blocks of up to so many bytes, and twice as much in all.

    glibc goes by the largest block that was ever freed: mallopt(3), M_MMAP_THRESHOLD.
    """
    bytearray(size)


def _glibc() -> ctypes.CDLL | None:
    if sys.platform != "linux":
        return None
    library = ctypes.CDLL(None)
    return library if hasattr(library, "gnu_get_libc_version") else None
