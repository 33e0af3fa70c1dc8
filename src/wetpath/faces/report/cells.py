"""Cells of a report: a value in the units of the report, with the number behind it."""

from __future__ import annotations

import math

from wetpath.drawing.figures import Figures
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.faces.report.parts import Cell
from wetpath.services.standing import Standing


def cell_of(figures: Figures, value: float | None, kind: Kind, *, standing: Standing | None = None, sign: bool = False,
            unit: bool = False, formula: str = "", decimals: int | None = None, shown_in: str = "") -> Cell:
    """A number in the units of the report, or in the one asked for; nothing where it is not known."""
    if value is not None and not math.isfinite(value):
        value = None
    text = figures.text(value, kind, sign=sign) if unit else figures.number(value, kind, sign=sign, unit=shown_in,
                                                                           decimals=decimals)
    shown = None if value is None else float(convert(value, kind, shown_in or figures.units.unit(kind).name))
    number, _, behind = text.partition("\u2009")
    return Cell(f"{standing.sign} {text}" if standing else text, shown, decimals_of(number),
                standing=standing.value if standing else "", sign=standing.sign if standing else "",
                unit=behind if unit else "", formula=formula)


def capital(words: str) -> str:
    """Words with a capital at their beginning."""
    return words[:1].upper() + words[1:]


def decimals_of(text: str) -> int | None:
    """Decimals a number is written with; None for what is no number."""
    _, dot, tail = text.partition(".")
    return len(tail) if dot and tail.isdigit() else 0 if text.lstrip("+−-").isdigit() else None
