"""The margin of one pump over the last days with its range, and where it goes: the forecast between its bounds."""

from __future__ import annotations

from itertools import pairwise

from wetpath.drawing.axes import Axes
from wetpath.drawing.figures import Figures
from wetpath.drawing.svg import document, element, line, polyline, text
from wetpath.edge import quantities as q
from wetpath.services.fleet import DAY, LOOKS_BACK, FleetState, PumpState

WIDTH, HEIGHT = 470.0, 232.0
STYLE = (".wp-trend text{font-family:'IBM Plex Sans Condensed','Arial Narrow',sans-serif;fill:var(--ink);"
         "font-size:12.5px}"
         ".wp-trend .soft{fill:var(--soft);font-size:11.5px}")
#: Points drawn at most, and hours between which a line is broken.
MOST, BROKEN = 240, 6.0
#: Steps of the forecast.
STEPS = 30


def draw_trend(one: PumpState, state: FleetState, figures: Figures) -> str:
    """Draw the history of the page and the forecast."""
    unit = figures.units.unit(q.PRESSURE_DIFFERENCE)
    now = state.at.timestamp() / DAY
    points = [((each["hour"].timestamp() + 1800) / DAY - now, each["margin"] / unit.factor,
               (each["half_range"] or 0.0) / unit.factor) for each in one.hours if each["margin"] is not None]
    if not points:
        return ""
    ahead = 10.0 if one.forecast is None else min(max(1.15 * one.forecast.days, 10.0), 60.0)
    demand = one.demand / unit.factor
    values = [value for _, level, half in points for value in (level - half, level + half)]
    low, high = min(0.0, demand, *values), max(demand, *values)
    axes = Axes(52, 24, WIDTH - 66, HEIGHT - 66, (-LOOKS_BACK, ahead), (low, high + 0.06 * (high - low)))
    drawn = [element("style", STYLE), axes.grid("days from now", unit.printed)]
    for part in _parts(points):
        thin = part[::max(1, len(points) // MOST)]
        thin = thin if thin[-1] == part[-1] else [*thin, part[-1]]
        band = [*((axes.x(day), axes.y(level + half)) for day, level, half in thin),
                *((axes.x(day), axes.y(level - half)) for day, level, half in reversed(thin))]
        drawn.append(element("path", d="M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in band) + "Z",
                             fill="var(--holdsarea)", fill_opacity=0.8))
        drawn.append(polyline([(axes.x(day), axes.y(level)) for day, level, _ in thin], stroke="var(--ample)",
                              stroke_width=1.8))
    drawn.append(line(axes.left, axes.y(demand), axes.left + axes.width, axes.y(demand), stroke="var(--short)",
                      stroke_width=1.6))
    drawn.append(text(axes.left + 4, axes.y(demand) - 4, "demand", class_="soft"))
    drawn.append(line(axes.x(0), axes.top, axes.x(0), axes.top + axes.height, stroke="var(--ink)", stroke_width=1))
    if one.forecast is not None and one.trend is not None:
        drawn.append(_forecast(one, axes, now, ahead, unit.factor))
    return document("".join(drawn), width=WIDTH, height=HEIGHT, class_="wp-trend", identity="trend",
                    title=f"Margin of {one.pump.tag} over {LOOKS_BACK:.0f} days, and its forecast",
                    description=f"now {figures.text(one.margin, q.PRESSURE_DIFFERENCE)}")


def _forecast(one: PumpState, axes: Axes, now: float, ahead: float, factor: float) -> str:
    """The line from now on, between its bounds."""
    assert one.trend is not None
    trend, days = one.trend, [ahead * step / STEPS for step in range(STEPS + 1)]

    def place(day: float, level: float) -> tuple[float, float]:
        return axes.x(day), axes.y(min(max(level / factor, axes.y_range[0]), axes.y_range[1]))

    bands = [trend.band(now + day) for day in days]
    around = [*(place(day, low) for day, (low, _) in zip(days, bands, strict=True)),
              *(place(day, high) for day, (_, high) in reversed(list(zip(days, bands, strict=True))))]
    fan = element("path", d="M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in around) + "Z", fill="var(--short)",
                  fill_opacity=0.14)
    end = min(ahead, trend.middle + (axes.y_range[0] * factor - trend.level) / trend.slope - now)
    return fan + polyline([place(0.0, trend.at(now)), place(end, trend.at(now + end))], stroke="var(--short)",
                          stroke_width=1.8, stroke_dasharray="6 4")


def _parts(points: list[tuple[float, float, float]]) -> list[list[tuple[float, float, float]]]:
    """Points without gaps."""
    parts = [[points[0]]]
    for before, point in pairwise(points):
        if (point[0] - before[0]) * 24 > BROKEN:
            parts.append([])
        parts[-1].append(point)
    return parts
