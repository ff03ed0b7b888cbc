"""What somebody could sign who stole the key of the page's authority."""

from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256

from assistant.senses.page import authority as making


def forged(folder: Path, name: str) -> making.Signed:
    """A page's certificate for another name, with its key."""
    now = datetime.now(UTC)
    signing, signer = making._authority(folder / making.AUTHORITY, now)
    leaf = making._leaf(ip_address("10.0.0.1"), (signing, signer), now)[1]
    key = ec.generate_private_key(ec.SECP256R1())
    built = x509.CertificateBuilder().subject_name(leaf.subject).issuer_name(leaf.issuer).public_key(key.public_key())
    built = built.serial_number(7).not_valid_before(leaf.not_valid_before_utc).not_valid_after(leaf.not_valid_after_utc)
    for extension in leaf.extensions:
        other = extension.value
        if isinstance(other, x509.SubjectAlternativeName):
            other = x509.SubjectAlternativeName([general(name)])
        built = built.add_extension(other, extension.critical)
    return key, built.sign(signing, SHA256())


def general(name: str) -> x509.GeneralName:
    return x509.DNSName(name) if name[-1].isalpha() else x509.IPAddress(ip_address(name))
