"""Colours, lines and type of the plots; the typeface comes with the program."""

from __future__ import annotations

import logging
from importlib.resources import files
from pathlib import Path
from typing import Any

from matplotlib.font_manager import fontManager

INK, SOFT, HAIR = "#1b2830", "#5a6b75", "#c6d0d5"
SHORT, TIGHT, HOLDS, AMPLE = "#c2410c", "#d9911f", "#5b9fc4", "#1d5f93"
#: What the panels are drawn with; sizes in points.
STYLE: dict[Any, Any] = {
    "font.family": ["IBM Plex Sans Condensed", "DejaVu Sans"],
    "font.size": 9, "text.color": INK, "axes.edgecolor": INK, "axes.labelcolor": INK, "axes.titlecolor": INK,
    "axes.titlesize": 10.5, "axes.titleweight": "semibold", "axes.titlelocation": "left", "axes.titlepad": 10,
    "axes.linewidth": 0.8, "axes.spines.top": False, "axes.spines.right": False, "axes.grid": True, "grid.color": HAIR,
    "grid.linewidth": 0.6, "axes.axisbelow": True, "xtick.color": INK, "ytick.color": INK, "xtick.direction": "out",
    "ytick.direction": "out", "xtick.major.width": 0.8, "ytick.major.width": 0.8, "lines.linewidth": 2.0,
    "lines.solid_capstyle": "round", "svg.fonttype": "none", "figure.facecolor": "white", "axes.facecolor": "white"}

logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)      # signs that it lacks come from another face
for _face in sorted(Path(str(files("wetpath"))).glob("data/fonts/*.ttf")):
    fontManager.addfont(_face)
