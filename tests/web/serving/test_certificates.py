"""The own root certificate: what it may vouch for, and a real connection under it."""

import datetime as dt
import ipaddress
import ssl
import stat
import urllib.error

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from tests.web.live import Visit

from witnessmark.errors import UnusableInputError
from witnessmark.web.data_folder import DataFolder
from witnessmark.web.serving import certificates as module
from witnessmark.web.serving.certificates import (
    ServerFiles,
    best_name,
    given_files,
    names_in,
    own_root,
    server_files,
)


@pytest.fixture
def folder(tmp_path):
    made = DataFolder(tmp_path / "data")
    made.make()
    return made


def trusting(root):
    context = ssl.create_default_context(cadata=root.der)
    context.verify_flags |= ssl.VERIFY_X509_STRICT
    return context


def shake_hands(server_context, client_context, name):
    """A TLS handshake in memory; raises what the client refuses."""
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = client_context.wrap_bio(to_client, to_server, server_hostname=name)
    server = server_context.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(10):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return client.version()


def presenting(files):
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(files.certificate, files.key)
    return context


def signed_for(root, folder, *names):
    """A certificate by the root for whatever is asked, as a thief of its key could make."""
    key = ec.generate_private_key(ec.SECP256R1())
    addresses, words = [], []
    for name in names:
        try:
            addresses.append(ipaddress.ip_address(name))
        except ValueError:
            words.append(name)
    certificate = module._for_server(root, key, addresses, words)
    files = ServerFiles(folder.path / "forged.pem", folder.path / "forged.key")
    files.certificate.write_bytes(module._pem(certificate) + module._pem(root.certificate))
    files.key.write_bytes(module._pem_key(key))
    return files


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost"])
def test_a_client_that_trusts_it_is_content(folder, name):
    files, root = server_files(folder), own_root(folder)
    assert shake_hands(presenting(files), trusting(root), name) == "TLSv1.3"
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(presenting(files), ssl.create_default_context(), name)


@pytest.mark.parametrize("name", ["192.168.7.20", "10.1.2.3", "172.20.0.9", "desk.local"])
def test_the_local_network_is_its_own(folder, name):
    root = own_root(folder)
    files = signed_for(root, folder, name)
    assert shake_hands(presenting(files), trusting(root), name) == "TLSv1.3"


@pytest.mark.parametrize(
    "name", ["bank.example", "8.8.8.8", "172.32.0.1", "2001:db8::1", "local.x"]
)
def test_for_the_rest_of_the_world_it_cannot_vouch_even_when_its_key_is_stolen(folder, name):
    root = own_root(folder)
    files = signed_for(root, folder, name)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shake_hands(presenting(files), trusting(root), name)


def test_what_it_vouches_for_cannot_vouch_itself(folder):
    root, files = own_root(folder), server_files(folder)
    constraints = root.certificate.extensions.get_extension_for_class(x509.NameConstraints)
    basic = root.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
    leaf = x509.load_pem_x509_certificates(files.certificate.read_bytes())[0]
    assert constraints.critical
    assert (basic.value.ca, basic.value.path_length) == (True, 0)
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert (leaf.not_valid_after_utc - leaf.not_valid_before_utc).days <= 398


def test_keys_are_for_the_owner_alone(folder):
    server_files(folder)
    for name in ("root.pem", "server.key", "server.pem"):
        assert stat.S_IMODE((folder.keys / name).stat().st_mode) == 0o600


def test_it_is_made_once_and_the_certificate_anew_when_the_network_changes(folder, monkeypatch):
    first, fingerprint = server_files(folder), own_root(folder).fingerprint
    content = first.certificate.read_bytes()
    assert server_files(folder).certificate.read_bytes() == content
    moved = ipaddress.ip_address("192.168.7.20")
    monkeypatch.setattr(module, "lan_addresses", lambda: [moved, ipaddress.ip_address("8.8.8.8")])
    names = names_in(server_files(folder).certificate)
    assert "192.168.7.20" in names
    assert "8.8.8.8" not in names
    assert own_root(folder).fingerprint == fingerprint  # phones need not install it again


def test_it_is_renewed_before_it_runs_out(folder, monkeypatch):
    before = own_root(folder).fingerprint
    soon = dt.datetime.now(dt.UTC) + dt.timedelta(days=module.ROOT_DAYS - 100)
    monkeypatch.setattr(module, "_now", lambda: soon)
    assert own_root(folder).fingerprint != before


def test_a_real_server_under_tls(serve, tmp_path):
    server = serve(tmp_path / "folder", "--server", "--host", "127.0.0.1", "--tls", "auto")
    assert server.url.startswith("https://127.0.0.1:")
    root = own_root(server.data)
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        Visit(server.url, ssl.create_default_context()).get("/sign-in/")
    visit = Visit(server.url, trusting(root))
    page = visit.get("/sign-in/")
    assert page.status == 200
    assert page.headers["strict-transport-security"] == "max-age=86400"
    assert all(cookie.secure for cookie in visit.jar)
    assert len(visit.jar) == 1
    phone = visit.get("/about/phone/")
    assert root.fingerprint in phone.text
    assert "<svg" in phone.text


def test_a_given_certificate_is_looked_at_before_it_is_served(folder, tmp_path):
    ours, other = server_files(folder), signed_for(own_root(folder), folder, "x.local")
    assert given_files(ours.certificate, ours.key) == ours
    (tmp_path / "empty.pem").write_text("")
    for pair in ((ours.certificate, other.key), (tmp_path / "empty.pem", ours.key)):
        with pytest.raises(UnusableInputError, match="no certificate and its key"):
            given_files(*pair)


def test_a_certificate_for_all_below_a_name_is_read_as_django_writes_it(folder):
    files = signed_for(own_root(folder), folder, "*.plant.local", "10.0.0.1", "fd00::1")
    assert names_in(files.certificate) == [".plant.local", "10.0.0.1", "[fd00::1]"]


@pytest.mark.parametrize(
    ("names", "best"),
    [
        (["localhost", "desk", "desk.local", "127.0.0.1", "192.168.7.20"], "192.168.7.20"),
        (["localhost", "desk", "desk.local", "127.0.0.1"], "desk.local"),
        (["*.plant.example", "audit.plant.example"], "audit.plant.example"),
        (["localhost", "127.0.0.1"], "localhost"),
    ],
)
def test_the_address_to_print_is_one_that_the_certificate_is_for(folder, monkeypatch, names, best):
    here = [ipaddress.ip_address(one) for one in ("8.8.8.8", "192.168.7.20")]
    monkeypatch.setattr(module, "lan_addresses", lambda: here)
    assert best_name(signed_for(own_root(folder), folder, *names), by_ipv6=False) == best


def test_an_address_of_ipv6_is_printed_only_where_it_is_listened_to(folder, monkeypatch):
    here = [ipaddress.ip_address("fd00::7")]
    monkeypatch.setattr(module, "lan_addresses", lambda: here)
    files = signed_for(own_root(folder), folder, "desk.local", "fd00::7")
    assert best_name(files, by_ipv6=True) == "[fd00::7]"
    assert best_name(files, by_ipv6=False) == "desk.local"
