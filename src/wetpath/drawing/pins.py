"""Findings of an opened pump pinned to the parts they were made on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wetpath.drawing.names import Names
from wetpath.drawing.section import STYLE, section_parts
from wetpath.drawing.svg import document, element, text

#: Where a part of the checklist lies on the section drawing.
PLACES: Mapping[str, tuple[float, float]] = {
    "bearings": (340.0, 471.0), "sleeves": (480.0, 480.0), "shell inside": (470.0, 366.0),
    "shell outside": (560.0, 350.0), "magnets": (420.0, 392.0), "sheath": (540.0, 380.0), "rear ring": (214.0, 440.0),
    "gaskets": (266.0, 300.0), "deposits": (262.0, 380.0), "impeller": (196.0, 380.0)}
LEFT, TOP, WIDTH, HEIGHT = 20.0, 60.0, 910.0, 450.0
#: Radius of a pin, and how much larger its name is than those of the drawing.
RADIUS, LARGER = 11.0, 1.2
PIN_STYLE = """
.wp-section .pin{cursor:pointer}
.wp-section .pin circle{fill:var(--paper);stroke:var(--ink);stroke-width:1.6}
.wp-section .pin.seen circle{fill:var(--ink)}
.wp-section .pin .number{font-weight:600;text-anchor:middle}
.wp-section .pin.seen .number{fill:var(--paper)}
.wp-section .bold{font-weight:600;font-size:15px}
.wp-section .over{paint-order:stroke;stroke:var(--paper);stroke-width:4px;stroke-linejoin:round}
"""


@dataclass(frozen=True)
class Pin:
    """What was told of one part."""

    part: str
    seen: int
    not_there: int

    @property
    def words(self) -> str:
        """The part and what was found on it."""
        told = [f"{self.seen} seen"] * bool(self.seen) + [f"{self.not_there} not there"] * bool(self.not_there)
        return f"{self.part}: {', '.join(told)}"


def pinned_drawing(pins: tuple[Pin, ...], title: str) -> str:
    """Draw the section with a pin on every part of which something is told: full where something was seen.

    Parts that the drawing does not show, as records, are left out.
    """
    names = Names((LEFT, TOP, LEFT + WIDTH, TOP + HEIGHT), LARGER)
    shown = [(one, PLACES[one.part]) for one in pins if one.part in PLACES]
    for _, (x, y) in shown:
        names.clear((x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS))
    drawn = [element("style", STYLE + PIN_STYLE), section_parts()]
    for one, (x, y) in shown:
        name = names.beside(x, y, one.words)
        drawn.append(element("g", element("title", one.words) + name + element("circle", cx=x, cy=y, r=RADIUS)
                             + text(x, y + 4, str(one.seen or one.not_there), class_="number"),
                             class_="pin" + " seen" * bool(one.seen), data_do=f"failed:pin {one.part}", role="button",
                             tabindex=0, aria_label=one.words))
    words = "; ".join(one.words for one, _ in shown)
    return document("".join(drawn), width=WIDTH, height=HEIGHT, left=LEFT, top=TOP, class_="wp-section",
                    title=f"Section of {title} with findings", description=words, identity="pins", interactive=True)
