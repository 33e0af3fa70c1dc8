"""The frame of every view: question bar, sentence, progress line, sheet, title strip, side sheet."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files
from pathlib import Path

from nicegui import app, ui

from wetpath.drawing.palette import DARK, LIGHT, style_sheet_values

#: Folders of the program served as they are.
_DATA = Path(str(files("wetpath"))) / "data"
STATIC = {"/static": _DATA / "web", "/fonts": _DATA / "fonts"}


@dataclass(frozen=True)
class Question:
    """One view, named by the question it answers."""

    name: str
    words: str
    digit: int
    of_site: bool = False


QUESTIONS = (Question("run", "Can it run?", 1), Question("which", "Which pump?", 2), Question("far", "How far?", 3),
             Question("protect", "What protects it?", 4), Question("send", "What do we send?", 5),
             Question("running", "How are they running?", 6, of_site=True), Question("failed", "Why did it fail?", 7))

_DOT = '<span class="dot" title="a result waits"><span class="live"> a result waits</span></span>'


def serve_static() -> None:
    """Serve style sheet, script and fonts."""
    for address, folder in STATIC.items():
        app.add_static_files(address, folder, max_cache_age=86400)


@cache
def _state() -> str:
    """Short hash of style sheet and script: browsers keep them for a day, and take new ones at once."""
    content = b"".join((STATIC["/static"] / name).read_bytes() for name in ("wetpath.css", "wetpath.js"))
    return hashlib.sha256(content).hexdigest()[:12]


def page_head(title: str) -> None:
    """Style sheet, script and colours of one page."""
    ui.page_title(f"{title} · wetpath")
    ui.add_head_html(
        f"<style>:root{{{style_sheet_values(LIGHT)}}}@media (prefers-color-scheme:dark){{:root:not([data-theme=light])"
        f"{{{style_sheet_values(DARK)};color-scheme:dark}}}}:root[data-theme=dark]{{{style_sheet_values(DARK)};"
        f"color-scheme:dark}}@media print{{:root{{{style_sheet_values(LIGHT)}}}}}</style>"
        f'<link rel="stylesheet" href="/static/wetpath.css?{_state()}">'
        f'<script src="/static/wetpath.js?{_state()}" defer></script>'
        f"<script>document.documentElement.lang='en';window.wetpathColours={json.dumps(dict(LIGHT))}</script>")


def header_html(key: str, title: str, view: str, units: str, account: str = "",
                waiting: Mapping[str, str] | None = None) -> str:
    """Name, enquiry, the questions with a dot where a result waits, the units, the account."""
    links = []
    for question in QUESTIONS:
        current = ' aria-current="page"' if question.name == view else ""
        asked = None if current else (waiting or {}).get(question.name)
        address = f"/site/{question.name}" if question.of_site else f"/e/{key}/{question.name}{asked or ''}"
        links.append(f'<a href="{escape(address)}" data-digit="{question.digit}"{current}>{escape(question.words)}'
                     f'{_DOT if asked is not None else ""}</a>')
    current = ' aria-current="page"' if view == "how" else ""
    links.append(f'<a href="/e/{escape(key)}/how"{current}>How it works</a>')
    return (f'<a class="skip" href="#answer">To the answer</a><a class="w" href="/">wetpath</a>'
            f'<span class="soft">{escape(title)}</span><nav aria-label="questions">{"".join(links)}</nav>'
            f'<button type="button" class="key right c" data-do="units" title="change the units">{escape(units)}'
            f'</button><button type="button" class="key" data-do="open-ask" title="ask line">/ ask</button>'
            f'<button type="button" class="key" data-do="keys" title="keys">?</button>{account}')
