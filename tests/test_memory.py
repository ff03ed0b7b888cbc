"""What the C library keeps of memory that was freed, by its own account: malloc_info(3)."""

import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.warp.examples import find

pytestmark = pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="the account is glibc's")

HEAPS = """
import ctypes, sys, threading
from assistant.cli import main

library = ctypes.CDLL(None)
library.open_memstream.restype = library.malloc.restype = ctypes.c_void_p

def heaps():
    text, size = ctypes.c_char_p(), ctypes.c_size_t()
    stream = ctypes.c_void_p(library.open_memstream(ctypes.byref(text), ctypes.byref(size)))
    library.malloc_info(0, stream)
    library.fclose(stream)
    return text.value.count(b"<heap ")

if sys.argv[1:]:
    main(sys.argv[1:])
all_there = threading.Barrier(9)

def allocate():
    library.malloc(100_000)
    all_there.wait()

threads = [threading.Thread(target=allocate) for _ in range(8)]
for thread in threads:
    thread.start()
all_there.wait()
print(heaps())
"""


def heaps(folder: Path, *words: str) -> int:
    """Of a process in which many threads allocate, after a command."""
    done = subprocess.run(
        [sys.executable, "-c", HEAPS, *words],
        input="q\n", capture_output=True, text=True, env=os.environ | {"HEDDLECALL_DATA": str(folder)}, check=True,
    )  # fmt: skip
    return int(done.stdout.splitlines()[-1])


def test_in_a_sitting_all_threads_share_two_heaps(tmp_path: Path) -> None:
    assert heaps(tmp_path) > 2, "else nothing is shown"
    assert heaps(tmp_path, "thread", str(find("first-evening")), "--plain", "--mute", "--deaf") == 2


SCATTERED = """
import ctypes
from pathlib import Path
from assistant.memory import give_back

library = ctypes.CDLL(None)
library.malloc.restype = ctypes.c_void_p

def pages():
    return int(Path("/proc/self/statm").read_text().split()[1])

blocks = [ctypes.c_void_p(library.malloc(65_536)) for _ in range(800)]
for block in blocks:
    ctypes.memset(block, 1, 65_536)
full = pages()
for block in blocks[:-1]:  # the last keeps the heap as long as it is
    library.free(block)
kept = pages()
give_back()
print(full, kept, pages())
"""


def test_what_is_freed_and_kept_is_given_back() -> None:
    done = subprocess.run([sys.executable, "-c", SCATTERED], capture_output=True, text=True, check=True)
    full, kept, left = (int(pages) * os.sysconf("SC_PAGE_SIZE") / 1e6 for pages in done.stdout.split())
    assert full - kept < 10, "else nothing is shown"
    assert kept - left > 40
