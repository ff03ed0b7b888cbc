"""What an address holds: a key that nobody can guess, and what it lets a browser do."""

import hmac
import secrets
from base64 import urlsafe_b64encode
from dataclasses import dataclass, field

SECRET_BYTES = 32


@dataclass(frozen=True, slots=True)
class Key:
    """A browser brings the `word`, in the path; the server proves who it is by the `proof`, which no browser sends."""

    word: str = field(repr=False)
    proof: str = field(repr=False)
    looks_only: bool


@dataclass(frozen=True, slots=True)
class Keys:
    """The two that go together: with one the page is worked, with the other it is only looked at."""

    hand: Key
    eye: Key

    @classmethod
    def of(cls, secret: bytes) -> "Keys":
        """Those of a secret; none of its words leads to another, nor to the secret."""
        words = [
            urlsafe_b64encode(hmac.digest(secret, purpose, "sha256")).rstrip(b"=").decode()
            for purpose in (b"hand", b"hand proof", b"eye", b"eye proof")
        ]
        return cls(Key(words[0], words[1], False), Key(words[2], words[3], True))


def new_secret() -> bytes:
    """256 bits."""
    return secrets.token_bytes(SECRET_BYTES)
