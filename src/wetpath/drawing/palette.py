"""Colours, signs and line patterns: one set for the web, reports and drawings; colour never stands alone."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

from wetpath.services.standing import Standing

Theme = Literal["light", "dark", "grey"]

LIGHT: Mapping[str, str] = {
    "paper": "#ffffff", "desk": "#e9edef", "ink": "#1b2830", "soft": "#5a6b75", "hair": "#c6d0d5", "hatch": "#9aa8b0",
    "act": "#14508c", "short": "#c2410c", "tight": "#d9911f", "holds": "#5b9fc4", "ample": "#1d5f93",
    "nodata": "#c6d0d5", "tint": "#f4f7f8", "liquid": "#e6eff4", "metal": "#f3f5f6", "magnet": "#c9d2d7",
    "halo": "#ffffff", "mark": "#fdf0e4", "tightarea": "#f6dfb6", "holdsarea": "#cfe0ea", "amplearea": "#a9cde0"}
DARK: Mapping[str, str] = {
    "paper": "#151d22", "desk": "#0d1317", "ink": "#dbe4e8", "soft": "#93a4ad", "hair": "#34434c", "hatch": "#4c5c65",
    "act": "#7fbcf0", "short": "#ff8350", "tight": "#f2b950", "holds": "#79bfe0", "ample": "#3f8fca",
    "nodata": "#34434c", "tint": "#1b252b", "liquid": "#1a2b35", "metal": "#212c33", "magnet": "#3c4a52",
    "halo": "#151d22", "mark": "#33251a", "tightarea": "#4a3b1d", "holdsarea": "#1d3644", "amplearea": "#225068"}

#: Cold to hot, low to high: for what is neither good nor bad.
SCALE = ("#d7e3ea", "#9fc0d3", "#5b9fc4", "#1d5f93", "#0f3557")

_COLOUR_OF = {Standing.SHORT: "short", Standing.TIGHT: "tight", Standing.HOLDS: "holds", Standing.AMPLE: "ample",
              Standing.UNKNOWN: "nodata", Standing.NOT_ASKED: "nodata"}
#: Dashes of the light line along a ribbon: dotted, dashed, solid, as the standings are told apart without colour.
DASHES = {Standing.SHORT: "3 5", Standing.TIGHT: "9 6"}


def colour_name(standing: Standing) -> str:
    """Name of the colour of a standing, as style sheets call it."""
    return _COLOUR_OF[standing]


def colour(standing: Standing) -> str:
    """Colour of a standing as a reference to the style sheet."""
    return f"var(--{_COLOUR_OF[standing]})"


def style_sheet_values(palette: Mapping[str, str]) -> str:
    """Write a palette as declarations of a style sheet."""
    return ";".join(f"--{name}:{value}" for name, value in palette.items())


def fixed(svg: str, palette: Mapping[str, str] = LIGHT) -> str:
    """Put the colours of a palette in place of the references, for readers that know no style sheets.

    >>> fixed('<path stroke="var(--ink)"/>')
    '<path stroke="#1b2830"/>'
    """
    return re.sub(r"var\(--([a-z]+)\)", lambda found: palette[found.group(1)], svg)
