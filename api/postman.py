"""Messages to addresses that an owner named, which may name anything.

The name is looked up here, each address it stands for must be one that everybody can reach, and the
connection goes to the very address that was checked: a name that stands for something else a moment
later leads nowhere (OWASP, Server-Side Request Forgery Prevention). No redirect is followed, and of
the answer the status alone is read.
"""

from __future__ import annotations

import asyncio
import socket
from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address

import httpx

from api.clock import Clock
from api.services.webhook_ports import Delivery
from api.services.webhooks import UndeliveredError, signature
from api.version import VERSION

_NAT64 = IPv6Network("64:ff9b::/96")
LIMIT = 10.0
"""Seconds for all of it."""


class HttpSender:
    """`anywhere` sends to private addresses too, and without TLS."""

    def __init__(self, clock: Clock, *, anywhere: bool) -> None:
        self.clock = clock
        self.anywhere = anywhere

    async def send(self, delivery: Delivery) -> int:
        body = delivery.message.model_dump_json(exclude_none=True)
        seconds = int(self.clock.now().timestamp())
        name = delivery.message.id
        headers = {
            "Content-Type": "application/json",
            "User-Agent": f"partline/{VERSION}",
            "webhook-id": name,
            "webhook-timestamp": str(seconds),
            "webhook-signature": signature(delivery.secret, name, seconds, body),
        }
        try:
            async with asyncio.timeout(LIMIT):
                return await self._post(delivery.url, headers, body)
        except (TimeoutError, OSError, httpx.HTTPError, httpx.InvalidURL) as error:
            # What the other side said is not repeated: it may be anything.
            raise UndeliveredError(type(error).__name__) from error

    async def _post(self, address: str, headers: dict[str, str], body: str) -> int:
        url = httpx.URL(address)
        if url.scheme != "https" and not self.anywhere:
            raise UndeliveredError("the address is not of https")
        checked = await self._checked(url)
        async with (
            httpx.AsyncClient(trust_env=False, timeout=LIMIT, follow_redirects=False) as client,
            client.stream(
                "POST",
                url.copy_with(host=checked),
                headers={**headers, "Host": url.netloc.decode()},
                content=body,
                extensions={"sni_hostname": url.host},
            ) as answer,
        ):
            return answer.status_code

    async def _checked(self, url: httpx.URL) -> str:
        """An address of this name. Raises UndeliveredError where any of them is private."""
        port = url.port or (443 if url.scheme == "https" else 80)
        loop = asyncio.get_running_loop()
        found = await loop.getaddrinfo(url.host, port, type=socket.SOCK_STREAM)
        addresses = [str(each[4][0]) for each in found]
        if not self.anywhere and not all(map(is_public, addresses)):
            raise UndeliveredError("the address is not one that everybody can reach")
        return addresses[0]


def is_public(text: str) -> bool:
    """Whether it is neither of this machine, nor of a private network, nor of nobody."""
    address: IPv4Address | IPv6Address = ip_address(text.split("%", maxsplit=1)[0])
    if isinstance(address, IPv6Address):
        # An IPv4 address in other clothes: mapped, 6to4, or behind NAT64.
        inner = address.ipv4_mapped or address.sixtofour
        if inner is None and address in _NAT64:
            inner = IPv4Address(int(address) & 0xFFFFFFFF)
        address = inner or address
    return address.is_global and not address.is_multicast
