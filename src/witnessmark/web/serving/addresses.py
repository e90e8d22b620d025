"""The names and addresses under which this machine can be reached in its local network."""

import ipaddress
import socket

# Documentation addresses (RFC 5737, RFC 3849): asking the way there sends nothing.
ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


def lan_addresses() -> list[Address]:
    """Addresses of this machine that others in its network can use; may be empty without one."""
    found = dict.fromkeys([*_on_the_way_out(), *_of_own_name()])
    return [one for one in found if not (one.is_loopback or one.is_link_local)]


def own_names() -> list[str]:
    """The name of this machine, also as multicast name resolution has it."""
    name = socket.gethostname().lower().split(".")[0]
    return [name, f"{name}.local"] if name and name != "localhost" else []


def _on_the_way_out() -> list[Address]:
    found = []
    for family, elsewhere in ELSEWHERE:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect((elsewhere, 9))
            except OSError:
                continue  # no way out by this family
            found.append(ipaddress.ip_address(probe.getsockname()[0]))
    return found


def _of_own_name() -> list[Address]:
    try:
        infos = socket.getaddrinfo(socket.gethostname(), None)
    except OSError:
        return []  # a name that nothing resolves is common on laptops
    return [ipaddress.ip_address(str(info[4][0]).split("%")[0]) for info in infos]
