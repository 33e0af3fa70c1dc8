"""Logging in and out: a plain page without scripts, with a form that only this server can have handed out."""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from html import escape
from urllib.parse import urlsplit

from anyio import CapacityLimiter
from anyio.to_thread import run_sync
from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from wetpath.drawing.palette import DARK, LIGHT, style_sheet_values
from wetpath.faces.web.door import Door, cookies_of, mark_of
from wetpath.services.projects import LoginRefused, TooManyAttempts, User, log_in, log_out, tidy_sessions

LONGEST_FORM = 20_000
#: Passwords looked at at once; each takes time and memory by intent.
AT_ONCE = 2
COLOURS = (f":root{{{style_sheet_values(LIGHT)}}}@media (prefers-color-scheme:dark){{:root{{{style_sheet_values(DARK)};"
           "color-scheme:dark}}body{margin:0}.login{max-width:420px}.login input{min-height:32px}"
           ".login .btn{margin:12px 0;min-height:32px;padding:2px 14px}")
_STYLE_MARK = base64.b64encode(hashlib.sha256(COLOURS.encode()).digest()).decode()
POLICY = (f"default-src 'none'; style-src 'self' 'sha256-{_STYLE_MARK}'; font-src 'self'; img-src 'self'; "
          "form-action 'self'; base-uri 'none'; frame-ancestors 'none'")


def install_login(app: FastAPI, door: Door) -> None:
    """Put the pages into the server."""
    limiter: list[CapacityLimiter] = []
    form_cookie = "__Host-wetpath-form" if door.place.secure else "wetpath-form"

    def page(request: Request, told: str = "", *, name: str = "", to: str = "", status: int = 200) -> Response:
        mark = cookies_of(request.scope).get(form_cookie) or secrets.token_urlsafe(32)
        answer = HTMLResponse(login_html(mark, told, name=name, to=to), status,
                              {"Content-Security-Policy": POLICY, "Cache-Control": "no-store"})
        answer.set_cookie(form_cookie, mark, secure=door.place.secure, httponly=True, samesite="strict")
        return answer

    @app.get("/login", include_in_schema=False)
    async def show(request: Request, to: str = "") -> Response:
        user, _ = await run_sync(lambda: door.visitor(request.scope))
        return RedirectResponse(own_path(to), 303) if user is not None else page(request, to=own_path(to))

    @app.post("/login", include_in_schema=False)
    async def enter(request: Request) -> Response:
        length = request.headers.get("content-length", "")
        if not length.isdigit() or int(length) > LONGEST_FORM:
            return page(request, "The form is longer than it can be.", status=413)
        form = {key: value for key, value in (await request.form()).items() if isinstance(value, str)}
        name, to = form.get("name", ""), own_path(form.get("to", ""))
        known = cookies_of(request.scope).get(form_cookie, "")
        if not known or not hmac.compare_digest(known.encode(), form.get("mark", "").encode()):
            return page(request, "This form was not handed out to this browser, or its cookies are off. Log in again.",
                        name=name, to=to, status=403)
        if not limiter:
            limiter.append(CapacityLimiter(AT_ONCE))
        address = request.client.host if request.client else ""
        try:
            login = await run_sync(lambda: log_in(door.store, name, form.get("password", ""), address=address),
                                   limiter=limiter[0])
        except TooManyAttempts as many:
            answer = page(request, f"Too many logins failed. Try again in {waiting(many.wait_s)}.", name=name, to=to,
                          status=429)
            answer.headers["Retry-After"] = str(many.wait_s)
            return answer
        except LoginRefused:
            return page(request, "Name and password do not belong together, or the account is closed.", name=name,
                        to=to, status=401)
        if before := cookies_of(request.scope).get(door.cookie):
            await run_sync(log_out, door.store, before)
        await run_sync(tidy_sessions, door.store)
        entered = RedirectResponse(to, 303)
        entered.set_cookie(door.cookie, login.token, secure=door.place.secure, httponly=True, samesite="lax")
        entered.delete_cookie(form_cookie, secure=door.place.secure, httponly=True, samesite="strict")
        return entered

    @app.post("/logout", include_in_schema=False)
    async def leave(request: Request) -> Response:
        length = request.headers.get("content-length", "")
        form = await request.form() if length.isdigit() and int(length) <= LONGEST_FORM else {}
        token = cookies_of(request.scope).get(door.cookie, "")
        if not hmac.compare_digest(leave_mark(token).encode(), str(form.get("mark", "")).encode()):
            return page(request, "The request to log out did not come from a page of yours.", status=403)
        await run_sync(log_out, door.store, token)
        left = RedirectResponse("/login", 303, {"Clear-Site-Data": '"cache", "storage"'} if door.place.secure else None)
        left.delete_cookie(door.cookie, secure=door.place.secure, httponly=True, samesite="lax")
        return left


def login_html(mark: str, told: str, *, name: str, to: str) -> str:
    """The page."""
    fault = f'<p class="fault" role="alert" id="told">{escape(told)}</p>' if told else ""
    described = ' aria-describedby="told"' if told else ""
    focus = ("", " autofocus") if name else (" autofocus", "")
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Log in · wetpath</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<style>{COLOURS}</style><link rel="stylesheet" href="/static/wetpath.css"></head><body><div class="wp">'
        '<header><span class="w">wetpath</span><span class="soft">Log in</span></header><main class="sheet">'
        f'<div class="cell form login"><h1>Log in</h1>{fault}<form method="post" action="/login">'
        f'<input type="hidden" name="mark" value="{escape(mark)}"><input type="hidden" name="to" value="{escape(to)}">'
        f'<label for="name">Name</label><input id="name" name="name" type="text" autocomplete="username" '
        f'maxlength="200" required value="{escape(name)}"{described}{focus[0]}>'
        '<label for="password">Password</label><input id="password" name="password" type="password" '
        f'autocomplete="current-password" maxlength="1000" required{described}{focus[1]}>'
        '<button type="submit" class="btn first">Log in</button></form>'
        '<p class="soft">Whoever keeps the accounts gives a new password when it is lost.</p>'
        "</div></main></div></body></html>")


def account_html(user: User, token: str) -> str:
    """Who is logged in, and the button to log out, for the bar at the top of a page; nothing without a login."""
    if not token:
        return ""
    return (f'<form method="post" action="/logout" class="account"><span class="soft">{escape(user.name)}, '
            f'{escape(user.role)}</span> <input type="hidden" name="mark" value="{leave_mark(token)}">'
            '<button type="submit" class="key">Log out</button></form>')


def leave_mark(token: str) -> str:
    """What the form to log out must bring, which only a page of the same login knows."""
    return mark_of(f"leave {token}")


def own_path(to: str) -> str:
    """The path to go to after the login, if it is one of this server; the first page if not.

    >>> own_path("/e/naphtha/run?at=x"), own_path("//other.example"), own_path("/\\\\other"), own_path("https://other/")
    ('/e/naphtha/run?at=x', '/', '/', '/')
    """
    try:
        parts = urlsplit(to)
    except ValueError:
        return "/"
    plain = to.isprintable() and "\\" not in to
    return to if plain and to.startswith("/") and not (to.startswith("//") or parts.scheme or parts.netloc) else "/"


def waiting(seconds: int) -> str:
    """A time to wait in words.

    >>> waiting(40), waiting(850)
    ('40 s', '15 min')
    """
    return f"{seconds} s" if seconds < 60 else f"{-(-seconds // 60)} min"
