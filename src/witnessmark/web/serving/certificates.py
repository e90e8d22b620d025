"""Encryption on a local network without a certificate from outside.

The installation makes a root certificate of its own. A phone that installs it trusts it for private
addresses and for this machine's names only: the certificate says so, and phones check it. The key
never leaves the data folder.
"""

import datetime as dt
import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.data_folder import DataFolder, write_private
from witnessmark.web.serving.addresses import Address, lan_addresses, own_names

# RFC 1918, RFC 4193, link-local and loopback: where a local network can be, and nothing else.
PRIVATE = (
    "10.0.0.0/8",
    "127.0.0.0/8",
    "169.254.0.0/16",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "::1/128",
    "fc00::/7",
    "fe80::/10",
)
ROOT_DAYS, SERVER_DAYS, RENEW_DAYS = 1095, 397, 30
EARLIER = dt.timedelta(hours=1)  # the clock of a phone may be behind
LOOPBACK = (ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1"))


@dataclass(frozen=True)
class Root:
    """The installation's own root: its certificate and the key that signs with it."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, as phones show it."""
        digest = self.certificate.fingerprint(hashes.SHA256()).hex().upper()
        return ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))

    @property
    def der(self) -> bytes:
        """The certificate as phones install it."""
        return self.certificate.public_bytes(serialization.Encoding.DER)


@dataclass(frozen=True)
class ServerFiles:
    """Certificate chain and key as the server program reads them."""

    certificate: Path
    key: Path


def own_root(data: DataFolder) -> Root:
    """The root of this installation, made when first asked for or when it has run out."""
    place = data.keys / "root.pem"
    if place.exists():
        kept = _read(place.read_bytes())
        if _days_left(kept.certificate) > SERVER_DAYS:
            return kept
    made = _new_root()
    write_private(place, _pem(made.certificate) + _pem_key(made.key))
    return made


def server_files(data: DataFolder, further: Sequence[str] = ()) -> ServerFiles:
    """A certificate of the own root for this machine, made anew when its addresses changed.

    Args:
        data: Where it is kept.
        further: Names under which the server is asked besides its own; those outside the local
            network are left out, as the root may not vouch for them.
    """
    root = own_root(data)
    files = ServerFiles(data.keys / "server.pem", data.keys / "server.key")
    addresses = [one for one in (*LOOPBACK, *lan_addresses()) if _is_private(one)]
    names = ["localhost", *own_names(), *(name for name in further if name.endswith(".local"))]
    if not _still_good(files, root, addresses, names):
        key = ec.generate_private_key(ec.SECP256R1())
        certificate = _for_server(root, key, addresses, list(dict.fromkeys(names)))
        write_private(files.key, _pem_key(key))
        write_private(files.certificate, _pem(certificate) + _pem(root.certificate))
    return files


def given_files(certificate: Path, key: Path) -> ServerFiles:
    """A certificate and its key, when they are such and belong together.

    Raises:
        UnusableInputError: They are not.
    """
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(certificate, key)
        names_in(certificate)
    except (OSError, ValueError, x509.ExtensionNotFound) as error:
        raise UnusableInputError.one(
            Where(f"{certificate.name}, {key.name}"),
            "these are no certificate and its key.",
            "PEM files: the certificate first, with the names it is for, then its key",
            "A key must not be locked by a password.",
        ) from error
    return ServerFiles(certificate, key)


def names_in(certificate: Path) -> list[str]:
    """All names and addresses that a certificate is for; one for all below x as `.x`."""
    read = x509.load_pem_x509_certificates(certificate.read_bytes())[0]
    names = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    found = names.get_values_for_type(x509.IPAddress)
    return [
        *(name.removeprefix("*") for name in names.get_values_for_type(x509.DNSName)),
        *(_bracketed(one) for one in found),
    ]


def best_name(files: ServerFiles, *, by_ipv6: bool) -> str:
    """The name or address to ask a server by that has this certificate.

    An address in the local network comes first, since every phone finds it; then a `.local` name;
    then the first name there is. Addresses of IPv6 only where the server listens there.
    """
    unfit = (".",) if by_ipv6 else (".", "[")
    names = [name for name in names_in(files.certificate) if not name.startswith(unfit)]
    here = [_bracketed(one) for one in lan_addresses()]
    further = [name for name in names if name != "localhost" and name not in _loopback()]
    further.sort(key=lambda name: not name.endswith(".local"))
    found = [*(one for one in here if one in names), *further, "localhost"]
    return found[0]


def _new_root() -> Root:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name("Witnessmark, this installation only")
    networks = [x509.IPAddress(ipaddress.ip_network(one)) for one in PRIVATE]
    names = [x509.DNSName(one) for one in ("local", "localhost", *own_names()[:1])]
    builder = (
        _builder(name, name, key.public_key(), ROOT_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints([*names, *networks], None), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
    )
    return Root(builder.sign(key, hashes.SHA256()), key)


def _for_server(
    root: Root,
    key: ec.EllipticCurvePrivateKey,
    addresses: Sequence[Address],
    names: Sequence[str],
) -> x509.Certificate:
    alternatives = [*map(x509.DNSName, names), *map(x509.IPAddress, addresses)]
    issuer = root.certificate.subject
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(root.key.public_key())
    builder = (
        _builder(_name("Witnessmark server"), issuer, key.public_key(), SERVER_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(issuer_key, critical=False)
    )
    return builder.sign(root.key, hashes.SHA256())


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, days: int
) -> x509.CertificateBuilder:
    now = _now()
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - EARLIER)
        .not_valid_after(now + dt.timedelta(days=days) - EARLIER)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _still_good(
    files: ServerFiles, root: Root, addresses: Sequence[Address], names: Sequence[str]
) -> bool:
    if not (files.certificate.exists() and files.key.exists()):
        return False
    chain = x509.load_pem_x509_certificates(files.certificate.read_bytes())
    wanted = {*names, *map(_bracketed, addresses)}
    return (
        chain[-1] == root.certificate
        and _days_left(chain[0]) > RENEW_DAYS
        and wanted <= set(names_in(files.certificate))
    )


def _days_left(certificate: x509.Certificate) -> int:
    return (certificate.not_valid_after_utc - _now()).days


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def _bracketed(address: object) -> str:
    return f"[{address}]" if isinstance(address, ipaddress.IPv6Address) else str(address)


def _loopback() -> list[str]:
    return [_bracketed(one) for one in LOOPBACK]


def _is_private(address: Address) -> bool:
    networks = (ipaddress.ip_network(one) for one in PRIVATE)
    return any(address in one for one in networks if one.version == address.version)


def _read(pem: bytes) -> Root:
    key = serialization.load_pem_private_key(pem, None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise TypeError("The root's key is not of the kind that this tool makes.")
    return Root(x509.load_pem_x509_certificate(pem), key)


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _pem_key(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
