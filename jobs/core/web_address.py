"""Web addresses that somebody typed and our server is asked to read: which ones it may."""

import ipaddress
from dataclasses import dataclass
from urllib.parse import urlsplit

NAT64 = ipaddress.ip_network("64:ff9b::/96")
MOST_CHARACTERS = 500
PORTS = {"http": 80, "https": 443}


class BadAddressError(ValueError):
    """Why an address is not read."""


@dataclass(frozen=True)
class WebAddress:
    """An address taken apart; `target` is what is asked for of `host`."""

    scheme: str
    host: str
    port: int
    target: str

    @property
    def host_header(self) -> str:
        """What the Host header says: IPv6 in brackets, the port only when it is not the scheme's own."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == PORTS[self.scheme] else f"{host}:{self.port}"


def read_address(text: str) -> WebAddress:
    """Take an http or https address apart; BadAddressError for any other, or one that carries a name and password.

    `webcal:` stands for https, as calendar programs read it.
    """
    text = text.strip()
    if len(text) > MOST_CHARACTERS or not all("!" <= character <= "~" for character in text):
        raise BadAddressError("The address has blanks or letters that do not belong in one, or is too long.")
    try:
        parts = urlsplit("https" + text[6:] if text.lower().startswith("webcal:") else text)
        scheme, host, port = parts.scheme.lower(), parts.hostname, parts.port
    except ValueError:
        raise BadAddressError("The address cannot be read. Copy it again.") from None
    if scheme not in PORTS or not host:
        raise BadAddressError("The address must begin with https:// or http://.")
    if parts.username is not None or parts.password is not None:
        raise BadAddressError("The address carries a name or password. Use the calendar's secret link instead.")
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return WebAddress(scheme, host, port or PORTS[scheme], target)


def is_public(number: str) -> bool:
    """Whether an IP address lies on the open internet, whatever other form it is wrapped in.

    Source: IANA's special-purpose registries, as Python's ipaddress keeps them; RFC 6052 for 64:ff9b::/96, RFC 3056
    for 6to4, RFC 4380 for Teredo.
    """
    address = ipaddress.ip_address(number.partition("%")[0])
    if address.version == 6:
        if address.ipv4_mapped:
            return is_public(str(address.ipv4_mapped))
        if address.sixtofour or address.teredo or address in NAT64:
            return False
    return address.is_global and not address.is_multicast and not address.is_reserved
