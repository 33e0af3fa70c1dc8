"""What stands before every page, every address of the HTTP interface and every socket.

It refuses names of the server that are not its own, requests that pages of others make, and whoever has not logged in;
it ties the socket of a page to the login that opened the page; and it adds the headers that tell a browser what not to
allow.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs, quote

from anyio.to_thread import run_sync
from nicegui import Client
from starlette.datastructures import MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wetpath.faces.web.door import USER, VISIT, Door, header

SOCKETS, PAGES, LOGIN = "/_nicegui_ws/", "/_nicegui/client/", "/login"
#: What is there for everybody: how the login page looks. None of it is of a user.
OPEN = ("/static/", "/fonts/")
OPEN_EXACTLY = (LOGIN, "/favicon.ico")
#: Longest body that is sent to a page [bytes]: a file of 20 MB, with what its form says around it.
LONGEST_BODY = 20_100_000
READING = ("GET", "HEAD", "OPTIONS")
PROXY_MARKS = ("x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "forwarded")
#: Scripts and styles inside the page, and eval, are how the library of the pages works: it hands each page its content
#: in a script of its own, compiles the handlers of fields in the browser, and sets style attributes. No script, frame,
#: form or connection of another server is allowed.
PAGE_POLICY = ("default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
               "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self'; object-src 'none'; "
               "base-uri 'self'; form-action 'self'; frame-src 'none'; frame-ancestors 'none'")
HEADERS = {"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
           "Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
           "Permissions-Policy": "camera=(), microphone=(), geolocation=()", "Content-Security-Policy": PAGE_POLICY}
#: For two years, as RFC 6797 lets a server say it; sent over TLS only.
TLS_ONLY = {"Strict-Transport-Security": "max-age=63072000"}
#: RFC 6455: the reason for which a socket is closed, "policy violation".
POLICY = 1008
#: What a page is told before its socket is closed, in the packets of its connection: go to the login.
GO_TO_LOGIN = '42["open",{"path":"/login","new_tab":false}]'


@dataclass(frozen=True)
class Interface:
    """Where the HTTP interface is, and how it words a refusal."""

    path: str
    refusal: Callable[[str, int], Response]


class Gate:
    """The gate, as a layer around the application."""

    def __init__(self, app: ASGIApp, door: Door, interface: Interface) -> None:
        self.app, self.door, self.interface = app, door, interface

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request or a socket in, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        send = self._with_headers(scope, send)
        refused = self._strange(scope) or self._too_long(scope)
        if refused is None and not self._is_open(scope["path"]):
            user, visit = await run_sync(
                lambda: self.door.visitor(scope, active=not scope["path"].startswith(SOCKETS)))
            if user is None:
                refused = self._not_logged_in(scope)
            elif not self._may_pass(scope, visit):
                refused = PlainTextResponse("This page belongs to another login.", 403)
            scope[USER], scope[VISIT] = user, visit
        if refused is None:
            if scope["type"] == "websocket" and self.door.login:
                receive = self._watched(scope, receive, send)
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": POLICY})
        else:
            await refused(scope, receive, send)

    def _told(self, scope: Scope, status: int, words: str) -> Response:
        if scope["path"].startswith(self.interface.path):
            return self.interface.refusal(words, status)
        return PlainTextResponse(words, status)

    def _strange(self, scope: Scope) -> Response | None:
        """The refusal of what no user of a page of ours would send."""
        named, origin, place = header(scope, "host"), header(scope, "origin"), self.door.place
        if not place.knows_host(named):
            return self._told(scope, 400, "This server is not known by that name. Start it with --address.")
        if not self.door.login and any(header(scope, name) for name in PROXY_MARKS):
            return self._told(scope, 403, "This server serves its own machine only, and was asked through a proxy. "
                                     "Make accounts and start it with --address.")
        if origin and (scope["type"] == "websocket" or scope["method"] not in READING) and not place.is_own(
                origin, named):
            return self._told(scope, 403, "The request comes from a page of another server.")
        by_cookie = self.door.login and not header(scope, "authorization")
        if by_cookie and not origin and (scope["type"] == "websocket" or scope["method"] not in READING) and (
                header(scope, "sec-fetch-site") != "same-origin"):
            return self._told(scope, 403, "The request does not tell from which page it comes. Programs use a token.")
        return None

    @staticmethod
    def _too_long(scope: Scope) -> Response | None:
        """The refusal of a body that the library of the pages would take without a limit of its own."""
        if scope["type"] != "http" or scope["method"] in READING or not scope["path"].startswith((PAGES, SOCKETS)):
            return None
        length = header(scope, "content-length")
        if not length.isdecimal() or header(scope, "transfer-encoding"):
            return PlainTextResponse("The length of the body must be given.", 411)
        if int(length) > LONGEST_BODY:
            return PlainTextResponse(f"The request is longer than {LONGEST_BODY} bytes.", 413)
        return None

    @staticmethod
    def _is_open(path: str) -> bool:
        return path in OPEN_EXACTLY or (path.startswith(OPEN) and "/.." not in path)

    def _not_logged_in(self, scope: Scope) -> Response:
        path = scope["path"]
        if scope["type"] == "http" and scope["method"] == "GET" and not path.startswith(
                (self.interface.path, SOCKETS, "/_nicegui")):
            to = path + (f"?{scope['query_string'].decode('latin-1')}" if scope["query_string"] else "")
            return RedirectResponse(f"{LOGIN}?to={quote(to)}" if to != "/" else LOGIN, 303)
        answer = self._told(scope, 401, "Log in, or send a token that is valid.")
        answer.headers["WWW-Authenticate"] = "Bearer"
        return answer

    @staticmethod
    def _may_pass(scope: Scope, visit: str) -> bool:
        """Whether a socket, or a file that is sent to a page, asks for a page of its own login."""
        path = scope["path"]
        if path.startswith(SOCKETS):
            asked = parse_qs(scope["query_string"].decode("latin-1")).get("client_id", [""])[0]
        elif path.startswith(PAGES):
            asked = path.removeprefix(PAGES).partition("/")[0]
        else:
            return True
        return asked not in Client.instances or visit_of(Client.instances[asked]) == visit

    def _watched(self, scope: Scope, receive: Receive, send: Send) -> Receive:
        """Take nothing from a socket any more once its login has ended; what is done on the page is a use of it."""

        async def watched() -> Message:
            message = await receive()
            if message["type"] != "websocket.receive":
                return message
            acts = '["event"' in (message.get("text") or "")[:40]
            user, _ = await run_sync(lambda: self.door.visitor(scope, active=acts))
            if user is not None:
                return message
            await send({"type": "websocket.send", "text": GO_TO_LOGIN})
            await send({"type": "websocket.close", "code": POLICY})
            return {"type": "websocket.disconnect", "code": POLICY}

        return watched

    def _with_headers(self, scope: Scope, send: Send) -> Send:
        kept_by_browser = scope["path"].startswith((*OPEN, "/_nicegui/"))

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in (HEADERS | (TLS_ONLY if self.door.place.secure else {})).items():
                    headers.setdefault(name, value)
                if self.door.login and not kept_by_browser:
                    headers["Cache-Control"] = "no-store"
            await send(message)

        return sent


def visit_of(client: Client) -> str:
    """The mark of the login that opened a page."""
    return str(client.request.scope.get(VISIT, ""))


def tie_sockets(server: Any) -> None:
    """Let every message of a socket reach only pages that its own login has opened."""
    handlers = server.handlers["/"]
    for name in ("handshake", "event", "javascript_response", "ack", "log"):
        server.on(name, _tied(server, handlers[name]))


def _tied(server: Any, handler: Callable[..., Any]) -> Callable[..., Any]:
    async def tied(sid: str, message: Any) -> Any:
        client = Client.instances.get(message.get("client_id", "")) if isinstance(message, dict) else None
        visit = (server.get_environ(sid) or {}).get("asgi.scope", {}).get(VISIT, "")
        if client is None or not visit or visit_of(client) != visit:
            return False
        done = handler(sid, message)
        return await done if inspect.isawaitable(done) else done

    return tied
