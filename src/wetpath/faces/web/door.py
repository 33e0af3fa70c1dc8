"""Where the server listens, and whom it lets in: the one user of this machine, or whoever logs in."""

from __future__ import annotations

import hashlib
import socket
from dataclasses import dataclass, field
from functools import cached_property
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import urlsplit

from starlette.requests import cookie_parser
from starlette.types import Scope

from wetpath.errors import InputError
from wetpath.services.projects import (
    NotAllowed,
    Store,
    User,
    any_account,
    local_user,
    session_user,
    token_user,
)

HOST, PORT = "127.0.0.1", 8765
LOOPBACK_NAMES = ("localhost", "127.0.0.1", "::1")
ADD_COMMAND = "wetpath account add NAME --role engineer"
#: What a request is found to come from, in its scope.
USER, VISIT = "wetpath.user", "wetpath.visit"


@dataclass(frozen=True)
class Place:
    """Where the server listens and how it is reached.

    Parameters
    ----------
    address : str
        Where users find it when a proxy stands before it, as "https://pumps.example.org".
    proxy : str
        The address from which that proxy asks.
    certificate, key : path, optional
        For TLS without a proxy.
    """

    host: str = HOST
    port: int = PORT
    address: str = ""
    proxy: str = "127.0.0.1"
    certificate: Path | None = None
    key: Path | None = None

    @property
    def secure(self) -> bool:
        """Whether what users send is encrypted on its way."""
        return self.certificate is not None or self.address.startswith("https://")

    @property
    def only_here(self) -> bool:
        """Whether nobody but this machine reaches it."""
        return not self.address and is_loopback(self.host)

    def check(self, accounts: bool) -> None:
        """Raise `InputError` for a place that cannot be, or where nobody would keep others out."""
        if (self.certificate is None) != (self.key is None):
            raise InputError("is given without the other", field="--certificate and --key", do="give both files")
        for name, path in (("--certificate", self.certificate), ("--key", self.key)):
            if path is not None and not path.is_file():
                raise InputError("is not a file", field=name, value=f'"{path}"', do="name a PEM file")
        if self.address:
            parts = urlsplit(self.address)
            if parts.scheme not in ("http", "https") or not parts.hostname or parts.path not in ("", "/") or (
                    parts.query or parts.fragment or "@" in parts.netloc):
                raise InputError("is not where a server is found", field="--address", value=f'"{self.address}"',
                                 do="write https://NAME or https://NAME:PORT, without a path")
        if not self.only_here and not accounts:
            named = ("--address", self.address) if self.address else ("--host", self.host)
            raise InputError("can be reached from other machines, and there is no account that keeps others out",
                             field=named[0], value=f'"{named[1]}"',
                             do=f"make an account first: {ADD_COMMAND}; or listen at {HOST}")

    def knows_host(self, named: str) -> bool:
        """Whether a server here can have been asked for under a name; others are names that lead here by a trick."""
        plain = host_of(named)
        if plain in LOOPBACK_NAMES:
            return True
        if self.only_here:
            return plain == self.host.lower()
        return plain in self._names or _is_number(plain)

    def is_own(self, origin: str, named: str) -> bool:
        """Whether a page that asks comes from here, by its origin and the host it asked for."""
        return origin == self.address.rstrip("/") or (urlsplit(origin).scheme in ("http", "https")
                                                      and urlsplit(origin).netloc.lower() == named.lower() != "")

    @cached_property
    def _names(self) -> frozenset[str]:
        mine = {self.host.lower(), socket.gethostname().lower(), socket.getfqdn().lower()}
        return frozenset(mine | ({host_of(urlsplit(self.address).netloc)} if self.address else set()))


@dataclass
class Door:
    """Who comes in. With accounts everybody logs in; without, there is the one user of this machine.

    What holds is decided when the server starts: accounts that are made later count from the next start.
    """

    store: Store
    place: Place = field(default_factory=Place)

    def __post_init__(self) -> None:
        self.login = any_account(self.store)
        self.place.check(self.login)
        self._local = None if self.login else local_user(self.store)

    @property
    def cookie(self) -> str:
        """The name of the cookie of a session; browsers take one of the first form only from TLS and this very host."""
        return "__Host-wetpath" if self.place.secure else "wetpath-login"

    def visitor(self, scope: Scope, *, active: bool = True) -> tuple[User | None, str]:
        """Who asks, and the mark of the session or token by which it is known."""
        if self._local is not None:
            return self._local, "local"
        for name, value in scope["headers"]:
            if name == b"authorization":
                kind, _, token = value.decode("latin-1").partition(" ")
                user = token_user(self.store, token.strip()) if kind.lower() == "bearer" else None
                return user, mark_of(token)
        token = cookies_of(scope).get(self.cookie, "")
        return (session_user(self.store, token, active=active), mark_of(token)) if token else (None, "")

    def user_of(self, scope: Scope) -> User:
        """Who stands behind a page that was opened before, with the role of this moment."""
        user, _ = self.visitor(scope)
        if user is None:
            raise NotAllowed("the login has ended\n  do:  log in again")
        return user


def mark_of(token: str) -> str:
    """What stands for a token where the token itself must not be."""
    return hashlib.sha256(f"visit {token}".encode("utf-8", "surrogatepass")).hexdigest()


def header(scope: Scope, wanted: str) -> str:
    """A header of a request; empty when it has none."""
    return next((value.decode("latin-1") for name, value in scope["headers"] if name == wanted.encode()), "")


def cookies_of(scope: Scope) -> dict[str, str]:
    """The cookies of a request."""
    return cookie_parser(header(scope, "cookie"))


def host_of(named: str) -> str:
    """The host of what a request calls the server, without its port.

    >>> host_of("Pumps.example.org:8765"), host_of("[::1]:8765"), host_of("127.0.0.1")
    ('pumps.example.org', '::1', '127.0.0.1')
    """
    try:
        return (urlsplit(f"//{named}").hostname or "").rstrip(".")
    except ValueError:
        return ""


def is_loopback(host: str) -> bool:
    """Whether an address is reached from this machine only."""
    return host == "localhost" or (_is_number(host) and ip_address(host).is_loopback)


def _is_number(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True
