"""Torque of a magnetic coupling over its load angle, cold and hot, with the load at which it stands."""

from __future__ import annotations

import math

from wetpath.drawing.axes import Axes, in_unit
from wetpath.drawing.figures import Figures
from wetpath.drawing.palette import colour
from wetpath.drawing.svg import CONDENSED, document, element, line, polyline, text
from wetpath.edge import quantities as q
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.edge.units import convert
from wetpath.questions.coupling_study.study import CouplingStudy
from wetpath.services.standing import Standing
from wetpath.words import told

WIDTH, HEIGHT = 720.0, 250.0
STYLE = (f".wp-torque text{{font-family:{CONDENSED};fill:var(--ink);font-size:12.5px}}"
         ".wp-torque .soft{fill:var(--soft);font-size:11.5px}")


def torque_drawing(study: CouplingStudy, figures: Figures, *, identity: str = "torque") -> str:
    """Draw torque over the electrical load angle: dashed with cold magnets, solid with hot ones."""
    unit = figures.units.unit(q.TORQUE).name
    degrees = [math.degrees(angle) for angle in study.torque.angle.tolist()]
    cold, hot = (convert(values, q.TORQUE, unit).tolist() for values in (study.torque.cold, study.torque.hot))
    load, point = float(convert(study.conditions.torque, q.TORQUE, unit)), study.point
    axes = Axes(56, 26, WIDTH - 80, HEIGHT - 72, (0.0, 180.0), (0.0, 1.15 * max(*cold, load)))
    drawn = [element("style", STYLE),
             axes.grid(told("load angle, electrical degrees"), in_unit(told("torque"), q.TORQUE, figures))]
    for values, look in ((cold, {"stroke_dasharray": "6 4", "stroke_width": 1.4}), (hot, {"stroke_width": 2.2})):
        drawn.append(polyline([(axes.x(x), axes.y(y)) for x, y in zip(degrees, values, strict=True)],
                              stroke="var(--ink)", **look))
    drawn.append(line(axes.left, axes.y(load), axes.left + axes.width, axes.y(load), stroke="var(--soft)",
                      stroke_dasharray="2 3"))
    drawn.append(text(axes.left + axes.width - 4, axes.y(load) - 5, told("load"), class_="soft", text_anchor="end"))
    top = math.degrees(point.pull_out_angle)
    pull_out = float(convert(point.pull_out, q.TORQUE, unit))
    room = figures.text(ROOM_TEMPERATURE, q.TEMPERATURE)
    drawn.append(text(axes.x(top), axes.y(max(cold)) - 7, told("magnets at {room}", room=room), class_="soft",
                      text_anchor="middle"))
    drawn.append(text(axes.x(top), axes.y(pull_out) + 17, told("at running temperature"), class_="soft",
                      text_anchor="middle"))
    if math.isfinite(point.angle):
        drawn.append(element("circle", cx=axes.x(math.degrees(point.angle)), cy=axes.y(load), r=5.5,
                             fill=colour(Standing.AMPLE), stroke="var(--paper)", stroke_width=1.5))
    return document("".join(drawn), width=WIDTH, height=HEIGHT, class_="wp-torque", identity=identity,
                    title=told("Torque over the load angle"),
                    description=told("Dashed: magnets cold; solid: hot; dot: the load. The numbers stand in the "
                                     "table."))
