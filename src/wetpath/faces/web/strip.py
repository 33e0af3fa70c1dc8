"""The title strip of a sheet, and what of it stands at head and foot of every printed page."""

from __future__ import annotations

import hashlib
from datetime import datetime
from html import escape

from wetpath.faces.web.frame import QUESTIONS
from wetpath.faces.web.html import button
from wetpath.faces.web.session import Session

#: Look of the edges of a printed page: that of the strip, on white.
LOOK = "font:8pt 'IBM Plex Sans Condensed',sans-serif;color:#5a6b75"
#: Characters that need no escape in a text of a style sheet.
_PLAIN = " .,:;/()-~_·°"


def strip_html(session: Session, at: datetime, going_on: str = "") -> str:
    """Pump file, practice, liquid, time of rating, revision; what goes on stands in place of the time."""
    record, desk = session.record, session.desk
    liquid, number = record.liquids[0], session.opened.kept.revisions["enquiry"].number
    named = [f"Pump file: {record.pump}", f"Practice: {record.practice.name}", f"Liquid: {liquid.name}, {liquid.kind}",
             f"wetpath {record.program_version}", going_on or f"rated {at.astimezone():%H:%M:%S}"]
    saved = f"revision {number} "
    if desk.changed:
        saved = " ".join((button(f"changed since revision {number}", "do", "changed", classes="num"),
                          button("Save", "do", "save"), button("Drop the changes", "do", "drop"), ""))
    pinned = ("" if session.pinned is None else
              f"<div>Pinned: differences are in soft ink {button('Unpin', 'do', 'unpin')}</div>")
    papers = "\n".join((desk.papers.enquiry, desk.papers.pump, desk.papers.practice))
    mark = hashlib.sha256(papers.encode()).hexdigest()[:12]
    question = next((one.words for one in QUESTIONS if one.name == session.view), "How it works")
    edges = edges_of_paper(f"{session.title} · {question}", f"{session.opened.project} · {at.astimezone():%d %B %Y}",
                           " · ".join([*named, f"{'changed since ' * desk.changed}revision {number}"]),
                           f"/e/{session.key}/{session.view} · {mark}")
    return "".join((*(f"<div>{escape(one)}</div>" for one in named),
                    f"<div>{saved}{button('History', 'do', 'history')}</div>", pinned,
                    "<div>Rated for steady conditions; see the cautions</div>", edges))


def edges_of_paper(title: str, project: str, strip: str, address: str) -> str:
    """What stands on every printed page: title and project with the date, the strip, address and number of the page."""
    number = '" · page " counter(page) " of " counter(pages)'
    places = (("top-left", f"{_quoted(title)};{LOOK};font-weight:600;color:#1b2830"),
              ("top-right", f"{_quoted(project)};{LOOK}"), ("bottom-left", f"{_quoted(strip)};{LOOK}"),
              ("bottom-right", f"{_quoted(address)} {number};{LOOK}"))
    return f"<style>@page{{{''.join(f'@{place}{{content:{look}}}' for place, look in places)}}}</style>"


def _quoted(words: str) -> str:
    """A text of a style sheet; nothing in it can end the text or the sheet."""
    return '"' + "".join(one if one.isalnum() or one in _PLAIN else f"\\{ord(one):x} " for one in words) + '"'
