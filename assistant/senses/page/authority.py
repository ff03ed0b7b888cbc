"""Certificates made on this machine: an authority that is good for nothing but a local network, and what it signs.

A browser that trusts the authority knows the page of this machine from any other. Whoever stole its key could pass for
machines of private addresses, and for nothing in the internet: that stands in its certificate.
"""

import ssl
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from assistant.errors import DeviceMissing
from assistant.files import read_whole, sync_folder, write_whole

AUTHORITY, LEAF = "authority.pem", "page.pem"  # each a key with its certificate
MOST_BYTES = 20_000
PROGRAM = "Heddlecall"
LOCAL = tuple(
    map(
        ip_network,
        (
            *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"),  # private: RFC 1918, RFC 4193
            *("169.254.0.0/16", "fe80::/10"),  # of one link: RFC 3927, RFC 4291
            *("127.0.0.0/8", "::1/128"),  # this machine
        ),
    )
)
LOCAL_NAMES = "local"  # and all below it: RFC 6762
DAY = timedelta(days=1)  # by which clocks may differ
AUTHORITY_LASTS = timedelta(days=3650)
LEAF_LASTS = timedelta(days=396)  # and DAY before: browsers take 397 days
RENEWED_BEFORE = timedelta(days=30)

Address = IPv4Address | IPv6Address
PrivateKey = ec.EllipticCurvePrivateKey
Signed = tuple[PrivateKey, x509.Certificate]


def certified(host: str, folder: Path) -> tuple[ssl.SSLContext, x509.Certificate]:
    """What a server at this address proves itself with, and the authority that vouches for it; kept in the folder.

    Raises DeviceMissing where no such certificate can be, OSError where none can be kept.
    """
    address = ip_address(host)
    if not any(address in network for network in LOCAL):
        raise DeviceMissing("{host} is no address of a local network", host=host)
    now = datetime.now(UTC)
    authority = _authority(folder / AUTHORITY, now)
    leaf = _read(folder / LEAF)
    if leaf is None or not _serves(leaf[1], authority[1], address, now):
        _keep(folder / LEAF, _leaf(address, authority, now))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(folder / LEAF)
    return context, authority[1]


def fingerprint(authority: x509.Certificate) -> str:
    """By which whoever installs the authority knows it: SHA-256, as devices show it."""
    return authority.fingerprint(SHA256()).hex(":").upper()


def download(authority: x509.Certificate) -> bytes:
    """What is installed on a device."""
    return authority.public_bytes(Encoding.DER)


def _authority(file: Path, now: datetime) -> Signed:
    kept = _read(file)
    if kept is None and file.exists():
        raise DeviceMissing("{file} holds no authority; delete it, and another is made", file=file)
    if kept is None or kept[1].not_valid_after_utc < now + LEAF_LASTS + DAY:
        kept = _new_authority(now)
        _keep(file, kept)
    return kept


def _new_authority(now: datetime) -> Signed:
    key = ec.generate_private_key(ec.SECP256R1())
    known = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    name = _name(f"{PROGRAM} {known.digest.hex()[:8]}")  # so that those of two machines are told apart
    names = [*map(x509.IPAddress, LOCAL), x509.DNSName(LOCAL_NAMES)]
    built = (
        _begun(name, name, key, now, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=names, excluded_subtrees=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(known, critical=False)
    )
    return key, built.sign(key, SHA256())


def _leaf(address: Address, authority: Signed, now: datetime) -> Signed:
    signing, signer = authority
    key = ec.generate_private_key(ec.SECP256R1())
    known = signer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    built = (
        _begun(_name(PROGRAM), signer.subject, key, now, now + LEAF_LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(address)]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(known), critical=False)
    )
    return key, built.sign(signing, SHA256())


def _serves(leaf: x509.Certificate, authority: x509.Certificate, address: Address, now: datetime) -> bool:
    """Whether it is of this authority, for this address, and for some while yet."""
    try:
        leaf.verify_directly_issued_by(authority)
        names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, TypeError, x509.ExtensionNotFound, InvalidSignature):
        return False
    lasting = leaf.not_valid_before_utc <= now <= leaf.not_valid_after_utc - RENEWED_BEFORE
    return lasting and address in names.get_values_for_type(x509.IPAddress)


def _begun(
    name: x509.Name, issuer: x509.Name, key: PrivateKey, now: datetime, until: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - DAY)
        .not_valid_after(until)
    )


def _name(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)])


def _usage(digital_signature: bool = False, key_cert_sign: bool = False) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=digital_signature,
        key_cert_sign=key_cert_sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )


def _read(file: Path) -> Signed | None:
    """None where there is none that is whole, with the key that belongs to it."""
    try:
        content = read_whole(file, MOST_BYTES)
        key, certificate = load_pem_private_key(content, None), x509.load_pem_x509_certificate(content)
    except (FileNotFoundError, ValueError, TypeError, UnsupportedAlgorithm):
        return None
    whole = isinstance(key, PrivateKey) and key.public_key() == certificate.public_key()
    return (key, certificate) if whole else None  # type: ignore[return-value]


def _keep(file: Path, signed: Signed) -> None:
    key, certificate = signed
    secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    write_whole(file, secret + certificate.public_bytes(Encoding.PEM), private=True)
    sync_folder(file.parent)
