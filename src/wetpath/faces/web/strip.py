"""The title strip of a sheet, and what of it stands at the foot of every printed page."""

from __future__ import annotations

import hashlib
from datetime import datetime
from html import escape

from wetpath.faces.web.html import button
from wetpath.faces.web.session import Session

#: Look of the foot of a printed page: that of the strip, on white.
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
    foot = foot_of_paper(" · ".join([session.title, *named]), f"/e/{session.key}/{session.view} · {mark}")
    return "".join((*(f"<div>{escape(one)}</div>" for one in named),
                    f"<div>{saved}{button('History', 'do', 'history')}</div>", pinned,
                    "<div>Rated for steady conditions; see the cautions</div>", foot))


def foot_of_paper(left: str, right: str) -> str:
    """What stands at the foot of every printed page: two texts and the number of the page."""
    return (f"<style>@page{{@bottom-left{{content:{_quoted(left)};{LOOK}}}@bottom-right{{content:{_quoted(right)} "
            f'" · page " counter(page) " of " counter(pages);{LOOK}}}}}</style>')


def _quoted(words: str) -> str:
    """A text of a style sheet; nothing in it can end the text or the sheet."""
    return '"' + "".join(one if one.isalnum() or one in _PLAIN else f"\\{ord(one):x} " for one in words) + '"'
