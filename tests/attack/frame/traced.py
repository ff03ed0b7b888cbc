"""What a command asks of the system, by strace(1), whatever language its parts are written in."""

import re
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

NETWORK = ("connect", "sendto", "sendmsg", "sendmmsg", "bind")
OPENING = ("open", "openat")
MAKING = (
    "creat",
    "mkdir",
    "mkdirat",
    "rename",
    "renameat",
    "renameat2",
    "link",
    "linkat",
    "symlink",
    "symlinkat",
    "mknodat",
)
TRACED = ",".join((*NETWORK, *OPENING, *MAKING))
MISSING = shutil.which("strace") is None
FAMILY = re.compile(r"sa_family=AF_(\w+)")
HERE = re.compile(r'inet_addr\("127\.0\.0\.1"\)|"::1"')
SOCKET = re.compile(r'sun_path=@?"([^"]*)"')
FOLDER = re.compile(r"(?:AT_FDCWD|\d+)<([^>]*)>, $")
PATH = re.compile(r'"((?:[^"\\]|\\.)*)"')
WRITES = re.compile(r"O_WRONLY|O_RDWR|O_CREAT")


def tracing(into: Path) -> tuple[str, ...]:
    """The command line that traces what follows it."""
    return ("strace", "-f", "-qq", "-y", "--seccomp-bpf", "-s", "4096", "-e", f"trace={TRACED}", "-o", str(into))


def read(trace: Path) -> Iterator[str]:
    """Each call on one line, also where another thread's came between its beginning and its end."""
    begun: dict[str, str] = {}
    for line in trace.read_text(errors="replace").splitlines():
        thread, _, call = line.partition(" ")
        call = call.lstrip()
        if call.endswith(" <unfinished ...>"):
            begun[thread] = call.removesuffix(" <unfinished ...>")
        elif resumed := re.match(r"<\.\.\. \w+ resumed>", call):
            yield begun.pop(thread, "") + call[resumed.end() :]
        else:
            yield call
    yield from begun.values()


def addressed(calls: Iterable[str]) -> Iterator[str]:
    """Calls that reach for another machine, or for a service of this one by a socket that is a file."""
    for call in calls:
        family = FAMILY.search(call)
        if family and family[1] in ("INET", "INET6") and not HERE.search(call):
            yield call
        elif family and family[1] == "UNIX" and call.startswith("connect") and (path := SOCKET.search(call)):
            yield path[1]


def written(calls: Iterable[str]) -> Iterator[Path]:
    """Files and folders that were opened to write, or made, and could be."""
    for call in calls:
        name = call.partition("(")[0]
        made = name in MAKING or (name in OPENING and WRITES.search(call))
        if made and "= -1 " not in call and (paths := list(PATH.finditer(call))):
            last = paths[-1]  # where it came to lie
            at = FOLDER.search(call, 0, last.start())
            yield Path(at[1] if at else "/") / last[1].encode().decode("unicode_escape")
