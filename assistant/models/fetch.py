"""A file from the internet: over https only, and taken up where it broke off."""

import re
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import requests

from assistant.errors import ModelError
from assistant.meaning import Tell
from assistant.models.catalogue import megabytes
from assistant.models.progress import Show

LARGEST = 1_000_000_000  # bytes
CHUNK = 1 << 16  # bytes
WAIT = (10, 30)  # seconds to connect, and from one piece to the next
REDIRECTS = 5
WHOLE, PARTIAL, NO_MORE = 200, 206, 416  # RFC 9110, 15.3.1, 15.3.7, 15.5.17

_BROKEN = (requests.RequestException, ValueError)  # the second from an address that is none


def fetch(address: str, part: Path, size: int | None, show: Show, trust: Path | None = None) -> None:
    """Bring what lies at an address into the file `part`, going on from what that holds. Raises ModelError.

    `size` is what it must have, in bytes. `trust` is a file of certificates to trust in place of the usual ones. What
    breaks off is taken up at once as long as something comes, and otherwise when called again.
    """
    while True:
        held = _held(part)
        if size is not None and held == size:
            return
        try:
            _go_on(address, part, held if size is None or held < size else 0, size, show, trust)
            return
        except _BROKEN as error:
            if _held(part) < held + CHUNK:
                raise ModelError(_complaint(address, _held(part), str(error))) from error


def _go_on(address: str, part: Path, start: int, size: int | None, show: Show, trust: Path | None) -> None:
    """Append what comes after the first `start` bytes, or begin anew where the server gives only the whole."""
    with _get(address, start, trust) as response:
        if response.status_code not in (WHOLE, PARTIAL, NO_MORE):
            raise ModelError(
                "{address}: the server answers {status} instead of the file",
                address=address,
                status=response.status_code,
            )
        begin, total = _extent(response)
        if begin is None and total == start:
            return  # all of it was there
        if begin not in (0, start):
            part.unlink(missing_ok=True)
            raise ModelError(
                "{address} is no longer what was begun, which is thrown away; give the command again",
                address=address,
            )
        _check(address, total, size)
        held, most = begin, size or total or LARGEST
        with part.open("ab" if begin else "wb") as out:
            for piece in response.iter_content(CHUNK):
                held += len(piece)
                if held > most:
                    break
                out.write(piece)
                show(_so_far(held, size or total))
    if held > most:
        part.unlink()
        raise ModelError(
            "{address}: more than {most} bytes came; nothing was kept",
            address=address,
            most=most,
        )
    if held < (size or total or 0):
        raise requests.ConnectionError("the server closed the connection")


def _get(address: str, start: int, trust: Path | None) -> requests.Response:
    """The answer, after redirects, of which none may lead away from https."""
    headers = {"Accept-Encoding": "identity", **({"Range": f"bytes={start}-"} if start else {})}
    for _ in range(REDIRECTS + 1):
        if urlsplit(address).scheme != "https":
            raise ModelError("{address!r} is not https; nothing is fetched from there", address=address)
        verify = str(trust) if trust else True
        response = requests.get(
            address, headers=headers, stream=True, timeout=WAIT, verify=verify, allow_redirects=False
        )
        if not response.is_redirect:
            return response
        response.close()
        address = urljoin(address, response.headers["location"])
    raise ModelError(
        "{address!r}: sent on more than {most} times; nothing was fetched",
        address=address,
        most=REDIRECTS,
    )


def _extent(response: requests.Response) -> tuple[int | None, int | None]:
    """The byte at which an answer begins, None where it holds nothing, and the size of the whole, as far as told."""
    if response.status_code == WHOLE:
        return 0, _number(response.headers.get("Content-Length"))
    told = re.fullmatch(r"bytes (?:(\d+)-\d+|\*)/(?:(\d+)|\*)", response.headers.get("Content-Range", ""), re.ASCII)
    return (_number(told[1]), _number(told[2])) if told else (None, None)


def _number(text: str | None) -> int | None:
    return int(text) if text else None


def _check(address: str, total: int | None, size: int | None) -> None:
    if size is not None and total is not None and total != size:
        raise ModelError(
            "{address} has {total} bytes, and should have {size}; nothing was fetched",
            address=address,
            total=total,
            size=size,
        )
    if total is not None and total > LARGEST:
        raise ModelError(
            "{address} has {total}, more than the {most} that are allowed",
            address=address,
            total=megabytes(total),
            most=megabytes(LARGEST),
        )


def _so_far(held: int, whole: int | None) -> Tell:
    fetched = megabytes(held)
    return Tell("fetched of", fetched=fetched, whole=megabytes(whole)) if whole else Tell("fetched", fetched=fetched)


def _held(part: Path) -> int:
    return part.stat().st_size if part.exists() else 0


def _complaint(address: str, held: int, error: str) -> Tell:
    host = urlsplit(address).hostname
    if "CERTIFICATE_VERIFY_FAILED" in error:
        return Tell("{host} shows a certificate that is not trusted; nothing was fetched", host=host)
    if held:
        return Tell(
            "the connection to {host} broke off after {size}; the same command goes on from there",
            host=host,
            size=megabytes(held),
        )
    return Tell(
        "{host} cannot be reached; fetch {address} on another machine, and give the file with --from",
        host=host,
        address=address,
    )
