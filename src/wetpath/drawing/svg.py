"""Small pieces of SVG, as text."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from wetpath.words import spoken

CONDENSED = '"IBM Plex Sans Condensed","Arial Narrow",sans-serif'


def attributes(**given: object) -> str:
    """Write attributes; a trailing underscore is dropped, others become hyphens.

    >>> attributes(stroke_width=2, class_="seg", d=None)
    'stroke-width="2" class="seg"'
    """
    return " ".join(f'{name.rstrip("_").replace("_", "-")}="{escape(_plain(value))}"'
                    for name, value in given.items() if value is not None)


def element(tag: str, content: str = "", /, **given: object) -> str:
    """One element with ready-made content."""
    opening = f"{tag} {attributes(**given)}".rstrip()
    return f"<{opening}>{content}</{tag}>" if content else f"<{opening}/>"


def text(x: float, y: float, words: str, **given: object) -> str:
    """A line of text; special characters are escaped."""
    return element("text", escape(spoken(words), quote=False), **{"x": x, "y": y} | given)


def line(x1: float, y1: float, x2: float, y2: float, **given: object) -> str:
    """A straight line."""
    return element("path", d=f"M{_plain(x1)} {_plain(y1)}L{_plain(x2)} {_plain(y2)}", **given)


def polyline(points: Iterable[tuple[float, float]], **given: object) -> str:
    """A line through points."""
    return element("path", d="M" + "L".join(f"{_plain(x)} {_plain(y)}" for x, y in points), fill="none", **given)


def document(content: str, *, width: float, height: float, left: float = 0, top: float = 0, title: str = "",
             description: str = "", identity: str = "figure", interactive: bool = False, **given: object) -> str:
    """A whole drawing with its names for readers that cannot see it; one that holds buttons is a group of them."""
    named = ""
    if title:
        named = element("title", escape(spoken(title)), id=f"{identity}-t") + element(
            "desc", escape(spoken(description or title)), id=f"{identity}-d")
        given |= {"role": "group" if interactive else "img", "aria_labelledby": f"{identity}-t {identity}-d"}
    box = " ".join(_plain(value) for value in (left, top, width, height))
    return element("svg", named + content, xmlns="http://www.w3.org/2000/svg", viewBox=box, **given)


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.2f}".rstrip("0").rstrip(".") or "0"
    return str(value)
