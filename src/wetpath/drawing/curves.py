"""Head, power, NPSH3 and margin over flow at the conditions of one case, with the operating cases."""

from __future__ import annotations

from collections.abc import Sequence

from wetpath.drawing.axes import Axes, in_unit
from wetpath.drawing.figures import Figures
from wetpath.drawing.palette import colour
from wetpath.drawing.svg import CONDENSED, document, element, line, polyline, text
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.rating.sheet.cells import CurveTable
from wetpath.services.record import Record
from wetpath.services.standing import Standing
from wetpath.words import told

WIDTH, HEIGHT = 720.0, 470.0
RADIUS = 8.5      # of the circle of an operating case
STYLE = (f".wp-curves text{{font-family:{CONDENSED};fill:var(--ink);font-size:12.5px}}"
         ".wp-curves .soft{fill:var(--soft);font-size:11.5px}.wp-curves .bold{font-weight:600}")


def curves_drawing(record: Record, table: CurveTable, figures: Figures, *, identity: str = "curves") -> str:
    """Draw head over flow above, shaft power and NPSH3 below, and where the flow limits lie."""
    flow = _shown(table.flow_m3_per_s, q.VOLUME_FLOW, figures)
    case = next(one for one in record.cases if one.name == table.case)
    panels = ((table.head_m, q.HEAD, told("head"), 200.0),
              (table.shaft_power_w, q.POWER, told("shaft power"), 80.0),
              (table.npsh_required_m, q.HEAD, told("NPSH3"), 80.0))
    drawn, top = [element("style", STYLE)], 26.0
    limits = case.flow_limits
    for values, kind, name, height in panels:
        known = [(x, y) for x, y in zip(flow, _shown(values, kind, figures), strict=True) if y == y]
        low, high = min(y for _, y in known), max(y for _, y in known)
        spread = max(high - low, 0.1 * abs(high), 1e-9)
        ends = max(0.0, low - 0.15 * spread), high + 0.15 * spread
        axes = Axes(56, top, WIDTH - 80, height, (0.0, max(flow)), ends)
        last = name == "NPSH3"
        drawn.append(axes.grid(in_unit(told("flow"), q.VOLUME_FLOW, figures) if last else "",
                               in_unit(name, kind, figures)))
        for edge, side in ((limits.minimum_m3_per_s, 0.0), (limits.maximum_m3_per_s, max(flow))):
            if edge is not None:
                at = float(_shown([edge], q.VOLUME_FLOW, figures)[0])
                left, right = sorted((axes.x(min(at, axes.x_range[1])), axes.x(side)))
                drawn.append(element("rect", x=left, y=axes.top, width=right - left, height=height, fill="var(--mark)",
                                     opacity=0.7))
        drawn.append(polyline([(axes.x(x), axes.y(y)) for x, y in known], stroke="var(--ink)", stroke_width=2))
        if name == "head":
            drawn += _cases(record, axes, figures)
            asked = case.operating_point.head_asked_m
            if asked is not None:
                y = axes.y(float(_shown([asked], q.HEAD, figures)[0]))
                drawn.append(line(axes.left, y, axes.left + axes.width, y, stroke="var(--soft)",
                                  stroke_dasharray="5 4"))
                drawn.append(text(axes.left + axes.width - 4, y - 5, told("head asked"), class_="soft",
                                  text_anchor="end"))
        top += height + 34
    return document("".join(drawn), width=WIDTH, height=HEIGHT, class_="wp-curves", identity=identity,
                    title=told("Curves at the conditions of case {case}", case=table.case),
                    description=told("Head, shaft power and NPSH3 over flow; the numbers stand in the table."))


def _cases(record: Record, axes: Axes, figures: Figures) -> list[str]:
    """Lettered circles of the operating cases; those that lie on each other share one circle."""
    places: list[tuple[float, float, str]] = []
    for one in record.cases:
        point = one.operating_point
        x, y = (_shown([value], kind, figures)[0] for value, kind in (
            (point.flow_m3_per_s, q.VOLUME_FLOW), (point.head_m, q.HEAD)))
        if not (axes.y_range[0] <= y <= axes.y_range[1] and x <= axes.x_range[1]):
            continue
        at = axes.x(x), axes.y(y)
        near = next((number for number, (left, top, _) in enumerate(places)
                     if (left - at[0]) ** 2 + (top - at[1]) ** 2 < RADIUS**2), None)
        if near is None:
            places.append((*at, one.name[:1]))
        else:
            left, top, names = places[near]
            places[near] = left, top, f"{names} {one.name[:1]}"
    drawn = []
    for left, top, names in places:
        half = RADIUS + 3.5 * (len(names) - 1)
        drawn.append(element("rect", x=left - half, y=top - RADIUS, width=2 * half, height=2 * RADIUS, rx=RADIUS,
                             fill="var(--paper)", stroke=colour(Standing.AMPLE), stroke_width=1.8))
        drawn.append(text(left, top + 4, names, text_anchor="middle", class_="bold"))
    return drawn


def _shown(values: Sequence[float | None], kind: Kind, figures: Figures) -> list[float]:
    unit = figures.units.unit(kind).name
    return [float("nan") if value is None else float(convert(value, kind, unit)) for value in values]
