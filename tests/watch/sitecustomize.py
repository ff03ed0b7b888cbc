"""Python imports this first where PYTHONPATH leads here: notes in $WATCHED what a program writes and what it calls."""

import os
import sys
from _socket import socket

NETWORK = {
    *(f"socket.{call}" for call in ("connect", "bind", "sendto", "sendmsg")),
    *(f"socket.{call}" for call in ("getaddrinfo", "getnameinfo", "gethostbyname", "gethostbyaddr")),
}
MOVING = {"os.mkdir", "os.rename", "os.link", "os.symlink", "sqlite3.connect"}
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT

_notes = os.open(os.environ["WATCHED"], os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)


def _note(event: str, arguments: tuple[object, ...]) -> None:
    if event in NETWORK:
        told = arguments[int(isinstance(arguments[0], socket)) :]
    elif event == "open" and isinstance(arguments[2], int) and arguments[2] & WRITING:
        told = _paths(arguments[:1])
    elif event in MOVING:
        told = _paths(arguments)
    else:
        return
    if told:
        os.write(_notes, f"{(event, *map(str, told))}\n".encode(errors="backslashreplace"))


def _paths(arguments: tuple[object, ...]) -> tuple[str, ...]:
    return tuple(os.path.abspath(os.fsdecode(path)) for path in arguments if isinstance(path, str | bytes))


sys.addaudithook(_note)
