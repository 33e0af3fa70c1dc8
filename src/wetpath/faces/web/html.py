"""Small pieces of HTML as text; whatever comes from a user or a file is escaped here."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from html import escape

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.services.standing import Standing

#: Kinds whose differences are of another kind.
DIFFERENCES = {q.TEMPERATURE: q.TEMPERATURE_DIFFERENCE, q.PRESSURE: q.PRESSURE_DIFFERENCE}

_FIRST_CELL = re.compile(r"\A(<td[^>]*>)(.*?)(</td>)", re.DOTALL)


def table(columns: Sequence[tuple[str, bool]], rows: Iterable[str], *, caption: str = "", classes: str = "c") -> str:
    """A table from ready-made rows; a column is its name and whether it holds numbers."""
    head = "".join(f'<th scope="col"{" class=n" if number else ""}>{escape(name)}</th>' for name, number in columns)
    words = f'<caption class="live">{escape(caption)}</caption>' if caption else ""
    return f'<table class="{classes}">{words}<thead><tr>{head}</tr></thead><tbody>{"".join(rows)}</tbody></table>'


def row(cells: Iterable[str], *, classes: str = "", **data: str) -> str:
    """One row of ready-made cells; ``data`` names what a click on it means, and its first cell is a button for it."""
    named = "".join(f' data-{name}="{escape(value)}"' for name, value in data.items())
    inside = "".join(cells)
    if data:
        inside = _FIRST_CELL.sub(
            lambda found: f'{found[1]}<button type="button" class="num"{named}>{found[2]}</button>{found[3]}', inside,
            count=1)
    return f'<tr class="{classes}"{named}>{inside}</tr>'


def cell(words: str, *, number: bool = False, bold: bool = False, raw: bool = False, soft: bool = False,
         standing: Standing | None = None) -> str:
    """One cell; ``raw`` takes HTML as it is."""
    classes = " ".join(name for name, on in (("n", number), ("b", bold), ("soft", soft),
                                             ("short", standing is Standing.SHORT)) if on)
    return f'<td{f" class={chr(34)}{classes}{chr(34)}" if classes else ""}>{words if raw else escape(words)}</td>'


def button(words: str, what: str, value: str, *, classes: str = "btn", label: str = "", why_not: str = "") -> str:
    """A button whose click is told to the server as an event; ``why_not`` shows it as locked and says why."""
    named = f' aria-label="{escape(label)}"' if label else ""
    named += f' aria-disabled="true" title="{escape(why_not)}"' if why_not else ""
    return f'<button type="button" class="{classes}" data-{what}="{escape(value)}"{named}>{escape(words)}</button>'


def was(now: float | None, before: float | None, kind: Kind, figures: Figures) -> str:
    """The difference to a number kept for comparison, in soft ink; nothing where none is seen."""
    if now is None or before is None or math.isnan(now) or math.isnan(before):
        return ""
    if figures.number(now, kind) == figures.number(before, kind):
        return ""
    difference = DIFFERENCES.get(kind, kind)
    shown = figures.number(now - before, difference, sign=True)
    return "" if not shown.strip("+−0.,") else f'<span class="was">{shown}</span>'


def as_table(inside: str) -> str:
    """A chart in numbers, shown when asked for."""
    return f"<details class='numbers'><summary>Show as table</summary>{inside}</details>"


def brackets_html(reasons: Iterable[str]) -> str:
    """Why numbers of a table stand in brackets, each reason once."""
    return "".join(f"<p class='soft'>In brackets, {escape(one)}.</p>" for one in dict.fromkeys(reasons) if one)


def told(standing: Standing, words: str) -> str:
    """Sign and words of a standing."""
    inside = f"{standing.sign} {escape(words)}"
    return f'<span class="short">{inside}</span>' if standing is Standing.SHORT else inside
