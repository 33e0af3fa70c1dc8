"""The trace: pressure against temperature of the circulated liquid, beside the vapour curve it must stay above."""

from __future__ import annotations

import numpy as np

from wetpath.drawing.axes import Axes, in_unit
from wetpath.drawing.figures import Figures
from wetpath.drawing.names import Names, Place, Point, spot
from wetpath.drawing.palette import colour
from wetpath.drawing.svg import CONDENSED, document, element, line, polyline
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.services.record import CaseRecord, Record
from wetpath.words import told

WIDTH, HEIGHT = 480.0, 330.0
STYLE = f"""
.wp-trace text{{font-family:{CONDENSED};fill:var(--ink);font-size:12.5px}}
.wp-trace .soft{{fill:var(--soft);font-size:11.5px}}
.wp-trace .bold{{font-weight:600}}
.wp-trace .over{{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}}
.wp-trace .station{{cursor:pointer}}
.wp-trace .dot{{fill:var(--paper);stroke:var(--ink);stroke-width:1.3}}
"""
#: Stations closer on paper than this share one name [drawing units].
CLOSE = 11.0


def trace_drawing(record: Record, case: CaseRecord, figures: Figures, *, beside: CaseRecord | None = None,
                  identity: str = "trace") -> str:
    """Draw the stations of one case, the shell wall, the vapour curve and the margin that the practice asks for.

    ``beside`` is the same case of another rating, drawn thin and dashed.
    """
    chart = _Chart(record, case, figures)
    drawn = [element("style", STYLE), chart.vapour(), chart.axes.grid(
        in_unit(told("liquid temperature"), q.TEMPERATURE, figures), in_unit(told("pressure"), q.PRESSURE, figures)),
        chart.curves(), chart.ghost(beside), chart.wall(), chart.path()]
    chart.spots()
    drawn += [chart.gap(), chart.stations(), chart.wall_name(), chart.curve_names(), chart.solidification()]
    words = told("Case {case}: {outcome}", case=case.name, outcome=case.outcome_words)
    return document("".join(drawn), width=WIDTH, height=HEIGHT, class_="wp-trace", description=words,
                    title=told("Trace of case {case} against the vapour curve", case=case.name), identity=identity)


class _Chart:
    def __init__(self, record: Record, case: CaseRecord, figures: Figures) -> None:
        self.record, self.case, self.figures = record, case, figures
        self.temperatures = np.array([one.temperature_k for one in case.trace])
        self.pressures = np.array([one.pressure_pa for one in case.trace])
        self.wall_at = (case.wall.temperature_k, self._pressure_at_wall())
        self.demand = next((limit.value for limit in record.practice.limits
                            if limit.name == "vapour_margin_pressure"), 0.0)
        self.axes = Axes(44, 26, WIDTH - 62, HEIGHT - 74, *self._ranges())
        self.names = Names((self.axes.left + 2, self.axes.top, self.axes.left + self.axes.width + 14,
                            self.axes.top + self.axes.height - 2))
        self.dots: list[tuple[float, float, list[str]]] = []
        self.curve, self.asked = self._line(0.0), self._line(self.demand)

    def _pressure_at_wall(self) -> float:
        cells = self.case.annulus
        nearest = min(cells, key=lambda cell: abs(cell.along - self.case.wall.along), default=None)
        return nearest.pressure_pa if nearest else float(self.pressures.mean())

    def _ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        reached = [*self.temperatures, self.wall_at[0]]
        spread = max(max(reached) - min(reached), 1.0)
        low, high = min(reached) - 0.2 * spread, max(reached) + 0.12 * spread
        pressures = [*self.pressures]
        curve = self._curve_at(np.array(reached))
        pressures.extend(value for value in curve if np.isfinite(value))
        bottom, top = min(pressures), max(pressures)
        height = max(top - bottom, 0.05 * top)
        return (self._shown(low, q.TEMPERATURE), self._shown(high, q.TEMPERATURE)), (
            self._shown(max(bottom - 0.12 * height, 0.0), q.PRESSURE), self._shown(top + 0.1 * height, q.PRESSURE))

    def _curve_at(self, temperature: np.ndarray) -> np.ndarray:
        curve = self.case.vapour_curve
        if not curve.temperature_k:
            return np.full(np.shape(temperature), np.nan)
        return np.exp(np.interp(temperature, curve.temperature_k, np.log(curve.pressure_pa)))

    def _shown(self, value: float, kind: Kind) -> float:
        return float(convert(value, kind, self.figures.units.unit(kind).name))

    def _at(self, temperature: float, pressure: float) -> tuple[float, float]:
        return (self.axes.x(self._shown(temperature, q.TEMPERATURE)),
                self.axes.y(self._shown(pressure, q.PRESSURE)))

    def _line(self, extra: float) -> list[tuple[float, float]]:
        curve = self.case.vapour_curve
        if not curve.temperature_k:
            return []
        unit = self.figures.units.unit(q.TEMPERATURE)
        low, high = (value * unit.factor + unit.offset for value in self.axes.x_range)
        temperature = np.linspace(max(low, curve.temperature_k[0]), min(high, curve.temperature_k[-1]), 60)
        across = convert(temperature, q.TEMPERATURE, unit.name)
        up = convert(self._curve_at(temperature) + extra, q.PRESSURE, self.figures.units.unit(q.PRESSURE).name)
        points = [(self.axes.x(float(x)), self.axes.y(float(y))) for x, y in zip(across, up, strict=True)]
        return [(x, y) for x, y in points if self.axes.top <= y <= self.axes.top + self.axes.height]

    def vapour(self) -> str:
        """The area where the liquid boils."""
        points = self.curve
        if len(points) < 2:
            return ""
        bottom, right = self.axes.top + self.axes.height, self.axes.left + self.axes.width
        corners = [*points, (right, points[-1][1]), (right, bottom), (points[0][0], bottom)]
        return element("path", d="M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in corners) + "Z", fill="var(--tint)")

    def curves(self) -> str:
        """The vapour curve, and the same with the margin asked for."""
        curve, asked = self.curve, self.asked
        drawn = polyline(curve, stroke="var(--ink)", stroke_width=2) if len(curve) > 1 else ""
        if len(asked) > 1 and self.demand > 0:
            drawn += polyline(asked, stroke="var(--ink)", stroke_width=1, stroke_dasharray="5 4")
        for one in (curve, asked):
            self.names.mind(one)
        return drawn

    def curve_names(self) -> str:
        """What the curves are, on a place of each that is free."""
        curve, asked = self.curve, self.asked
        drawn = []
        if len(asked) > 1 and self.demand > 0:
            asked_for = told("practice: {margin}",
                             margin=self.figures.text(self.demand, q.PRESSURE_DIFFERENCE, sign=True))
            drawn.append(self.names.along(
                [Place(x + (6 if anchor == "start" else -6), y + up, anchor, 0.2 * number)
                 for number, (x, y) in enumerate(asked[::3]) for anchor, up in (("start", 16), ("end", -6))],
                (asked_for,), ("soft",)))
        if len(curve) > 1:
            words = (told("vapour"), told("boils below this curve"))
            both, short = (self._beside_curve(curve, wide, rows) for wide, rows in ((120.0, 2), (40.0, 1)))
            fitting = any(self.names.fits(place, words) for place in both)
            drawn.append(self.names.along(both if fitting else short, words[:1 + fitting], ("", "soft")))
        return "".join(drawn)

    @staticmethod
    def _beside_curve(curve: list[Point], wide: float, rows: int) -> list[Place]:
        """Where so many rows of text stand clear of a rising curve: under it, or else over it."""
        return [place for number, (x, y) in enumerate(reversed(curve)) for place in (
            Place(x - 4, max(other for at, other in curve if x - wide - 4 < at <= x) + 16, "end", 0.3 * number),
            Place(x - 6, y + 8 - 14 * rows, "end", 0.3 * number + 12))]

    def ghost(self, beside: CaseRecord | None) -> str:
        """The passages of the other rating, as far as they lie on the sheet."""
        if beside is None:
            return ""
        stations = {one.name: one for one in beside.trace}
        drawn = []
        for branch in beside.branches:
            ends = [self._at(one.temperature_k, one.pressure_pa)
                    for one in (stations[branch.start], stations[branch.end])]
            if all(self._inside(at) for at in ends):
                drawn.append(polyline(ends, stroke="var(--soft)", stroke_width=1.2, stroke_dasharray="4 3"))
        return element("g", "".join(drawn), class_="ghosts") if drawn else ""

    def _inside(self, at: tuple[float, float]) -> bool:
        return (self.axes.left <= at[0] <= self.axes.left + self.axes.width
                and self.axes.top <= at[1] <= self.axes.top + self.axes.height)

    def path(self) -> str:
        """The passages between the stations, each in the colour of the station it leads to."""
        stations = {one.name: one for one in self.case.trace}
        drawn = []
        for branch in self.case.branches:
            start, end = stations[branch.start], stations[branch.end]
            reached = end if branch.flow_kg_per_s >= 0 else start
            thin = branch.kind in ("journal bearing", "thrust face")
            ends = [self._at(one.temperature_k, one.pressure_pa) for one in (start, end)]
            self.names.mind(ends)
            drawn.append(polyline(ends, stroke=colour(reached.standing), stroke_width=1.4 if thin else 3.4,
                                  stroke_linecap="round"))
        return "".join(drawn)

    def wall(self) -> str:
        """The shell wall along the annulus: the temperature the liquid meets there."""
        points = [self._at(cell.wall_temperature_k, cell.pressure_pa) for cell in self.case.annulus]
        if not points:
            return ""
        x, y = self._at(*self.wall_at)
        self.names.mind(points)
        self.names.clear((x - 5, y - 5, x + 5, y + 5))
        return polyline(points, stroke="var(--soft)", stroke_width=1.2, stroke_dasharray="2 3")

    def wall_name(self) -> str:
        """The worst place of the shell wall, with its name."""
        if not self.case.annulus:
            return ""
        x, y = self._at(*self.wall_at)
        mark = element("path", d=f"M{x - 5:.1f} {y:.1f}L{x:.1f} {y - 5:.1f}L{x + 5:.1f} {y:.1f}L{x:.1f} {y + 5:.1f}Z",
                       class_="dot")
        return spot(mark, self.names.beside(x, y, told("shell wall")), name="W")

    def gap(self) -> str:
        """The least distance of a station from the vapour curve, drawn as a measure."""
        known = [one for one in self.case.trace if one.margin_pa is not None]
        if not known:
            return ""
        worst = min(known, key=lambda one: one.margin_pa or 0.0)
        vapour = worst.pressure_pa - (worst.margin_pa or 0.0)
        (x, y), (_, foot) = self._at(worst.temperature_k, worst.pressure_pa), self._at(worst.temperature_k, vapour)
        if not self.axes.top <= foot <= self.axes.top + self.axes.height:
            return ""
        margin = self.figures.number(worst.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)
        self.names.mind([(x, y), (x, foot)])
        places = [Place(x + side * 7, y + share * (foot - y) + 4, "start" if side > 0 else "end", 20 * abs(share - 0.5))
                  for share in (0.5, 0.35, 0.65, 0.2, 0.8, 1.0) for side in (1, -1)]
        return line(x, y, x, foot, stroke=colour(worst.standing), stroke_width=1.6) + line(
            x - 4, foot, x + 4, foot, stroke=colour(worst.standing), stroke_width=1.6) + self.names.along(
            places, (margin,), ("bold",))

    def spots(self) -> None:
        """Find the dots of the stations; those on one spot share it."""
        for one in self.case.trace:
            x, y = self._at(one.temperature_k, one.pressure_pa)
            near = next((there for there in self.dots if abs(there[0] - x) + abs(there[1] - y) < CLOSE), None)
            if near:
                near[2].append(one.name)
            else:
                self.dots.append((x, y, [one.name]))
                self.names.clear((x - 5.0, y - 5.0, x + 5.0, y + 5.0))

    def stations(self) -> str:
        """Dots with the numbers of the stations."""
        return "".join(spot(element("circle", cx=x, cy=y, r=4.4, class_="dot"),
                            self.names.beside(x, y, ", ".join(names)), name=names[0]) for x, y, names in self.dots)

    def solidification(self) -> str:
        """Where the line of solidification lies when it is off the sheet."""
        liquid = next((one for one in self.record.liquids if one.name == self.case.liquid), None)
        limit = liquid and (liquid.limits_k.get("solidification") or liquid.limits_k.get("crystallisation"))
        if not limit:
            return ""
        at = self.figures.text(limit, q.TEMPERATURE)
        bottom = self.axes.top + self.axes.height
        if self._shown(limit, q.TEMPERATURE) < self.axes.x_range[0]:
            places = [Place(self.axes.left + 6, y, "start") for y in np.arange(bottom - 8, self.axes.top + 12, -9.0)]
            return self.names.along(
                places, (told("◄ solidifies at {temperature}, off the sheet", temperature=at),), ("soft",))
        x = self._at(limit, self.pressures.min())[0]
        places = [Place(x + 5, y, "start") for y in np.arange(self.axes.top + 14, bottom - 4, 9.0)]
        return line(x, self.axes.top, x, bottom, stroke="var(--ink)", stroke_dasharray="9 3 2 3") + self.names.along(
            places, (told("solidifies at {temperature}", temperature=at),), ("soft",))
