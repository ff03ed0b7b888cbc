"""A server for one file over https, with the faults that servers and connections have."""

import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import trustme


@dataclass
class Server:
    """What it serves at every path, how it errs, and which ranges it was asked for."""

    trust: Path
    address: str = ""
    content: bytes = b""
    break_after: list[int] = field(default_factory=list)  # bytes, for each answer in turn, after which it breaks off
    ranges: bool = True
    length: bool = True
    status: int = 200
    send_on: str = ""
    shift: int = 0  # how far its ranges are off
    asked: list[str] = field(default_factory=list)


@contextmanager
def serving(folder: Path) -> Iterator[Server]:
    authority = trustme.CA()
    authority.cert_pem.write_to_path(str(folder / "authority.pem"))
    server = Server(folder / "authority.pem")

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            server.asked.append(self.headers.get("Range", ""))
            if server.send_on:
                self.answer(302, {"Location": server.send_on})
            elif server.status != 200:
                self.answer(server.status, {})
            else:
                self.send_file()

        def send_file(self) -> None:
            start, status, headers, whole = 0, 200, {}, len(server.content)
            if server.ranges and server.asked[-1]:
                start, status = int(server.asked[-1].removeprefix("bytes=").removesuffix("-")) + server.shift, 206
                headers["Content-Range"] = f"bytes {start}-{whole - 1}/{whole}"
            if start >= whole:
                self.answer(416, {"Content-Range": f"bytes */{whole}"})
                return
            if server.length:
                headers["Content-Length"] = str(whole - start)
            self.answer(status, headers)
            until = start + server.break_after.pop(0) if server.break_after else whole
            self.wfile.write(server.content[start:until])

        def answer(self, status: int, headers: dict[str, str]) -> None:
            self.send_response(status)
            for name, value in headers.items():
                self.send_header(name, value)
            self.end_headers()

        def log_message(self, *words: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as listening:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        authority.issue_cert("localhost").configure_cert(context)
        listening.socket = context.wrap_socket(listening.socket, server_side=True)
        server.address = f"https://localhost:{listening.server_address[1]}/model.zip"
        thread = Thread(target=listening.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        yield server
        listening.shutdown()
        thread.join()
