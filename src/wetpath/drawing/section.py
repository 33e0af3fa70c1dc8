"""The half-section of the pump as the map of a rating: stations, ribbon of the circulation, shell wall."""

from __future__ import annotations

import math
import re
from functools import cache
from importlib.resources import files
from typing import Literal

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.palette import DASHES, SCALE, colour
from wetpath.drawing.places import WALL_INSIDE, WALL_OUTSIDE, Placed, Point, placed
from wetpath.drawing.svg import CONDENSED, document, element, line, text
from wetpath.drawing.validity import in_brackets, why_not_valid
from wetpath.edge import quantities as q
from wetpath.services.record import BranchRecord, CaseRecord, Record, StationRecord
from wetpath.services.standing import Standing
from wetpath.words import spoken, told

Shown = Literal["margin", "temperature", "pressure", "heat"]
SHOWN: tuple[Shown, ...] = ("margin", "temperature", "pressure", "heat")

WIDTH, HEIGHT, TOP = 1190.0, 566.0, 44.0
BOX_WIDTH, BOX_HEIGHT, BOX_STEP = 134.0, 63.0, 141.0
#: Left edge and top of the row of boxes above, and of the one below; how far right a row may reach.
ABOVE, BELOW = (290.0, 56.0), (30.0, 540.0)
#: Stations higher than this have their box above the drawing.
DIVIDE = 430.0
WIDEST, NARROWEST = 11.0, 3.0
#: Area of a dot of heat [drawing units squared per watt].
DOT_AREA = 0.45
#: The shell wall's worst place, as a station of its own.
WALL = "W"
_ORDER = {level: number for number, level in enumerate(Standing)}

STYLE = f"""
.wp-section text{{font-family:{CONDENSED};fill:var(--ink);font-size:12px}}
.wp-section .body{{fill:var(--metal);stroke:var(--ink);stroke-width:1.3;stroke-linejoin:round}}
.wp-section #shell .body{{fill:var(--ink);stroke:var(--ink);stroke-width:.8}}
.wp-section .hatch{{stroke:none;pointer-events:none}}
.wp-section .hl{{stroke:var(--hatch);stroke-width:.8;fill:none}}
.wp-section .wet{{fill:var(--liquid);stroke:none}}
.wp-section .hole{{fill:var(--liquid);stroke:var(--ink);stroke-width:.7}}
.wp-section .hole-mask{{fill:var(--liquid);stroke:none}}
.wp-section .magnet{{fill:var(--magnet);stroke:var(--ink);stroke-width:.8}}
.wp-section .bush{{fill:var(--ink);fill-opacity:.72;stroke:var(--ink);stroke-width:.7}}
.wp-section .detail{{fill:var(--metal);stroke:var(--ink);stroke-width:.8}}
.wp-section .vane{{fill:var(--metal);stroke:var(--hair);stroke-width:.6}}
.wp-section .axis{{stroke:var(--ink);stroke-width:.8;stroke-dasharray:22 4 3 4;fill:none}}
.wp-section .bolt-axis{{stroke:var(--hair);stroke-width:.6;stroke-dasharray:8 2 2 2;fill:none}}
.wp-section .flow-in{{fill:none;stroke:var(--hair);stroke-width:1.4}}
.wp-section .seg{{fill:none;stroke-linecap:round;stroke-linejoin:round}}
.wp-section .seg-mark{{fill:none;stroke:var(--halo);stroke-linecap:butt}}
.wp-section .seg-halo{{fill:none;stroke:var(--halo);stroke-linejoin:round;stroke-linecap:round}}
.wp-section .dot{{fill:var(--paper);stroke:var(--ink);stroke-width:1.4}}
.wp-section .station .number{{font-weight:600;font-size:10.5px;text-anchor:middle}}
.wp-section .station,.wp-section .part{{cursor:pointer}}
.wp-section .leader{{fill:none;stroke:var(--ink);stroke-width:.6}}
.wp-section .box .frame{{fill:var(--paper);stroke:var(--hair)}}
.wp-section .box.worst .frame{{stroke:var(--ink);stroke-width:1.5}}
.wp-section .box.worst.short .frame{{fill:var(--mark);stroke:var(--short)}}
.wp-section .box .name{{font-weight:600}}
.wp-section .box .told{{font-weight:600}}
.wp-section .heat{{fill:var(--short);fill-opacity:.55;stroke:var(--short)}}
.wp-section .soft{{fill:var(--soft);font-size:11.5px}}
"""


def section_drawing(record: Record, case: CaseRecord, figures: Figures, *, shown: Shown = "margin",
                    beside: CaseRecord | None = None, identity: str = "section") -> str:
    """Draw one case of a rating on the section of the pump.

    Parameters
    ----------
    record : Record
        The rating.
    case : CaseRecord
        One of its cases.
    figures : Figures
        The units numbers are written in.
    shown : {"margin", "temperature", "pressure", "heat"}
        What colours the ribbon and stands last in the boxes.
    beside : CaseRecord, optional
        The same case of another rating; the boxes then tell the difference of the margin instead of the kelvin.
    identity : str
        Beginning of the names of elements; differs for two drawings on one page.
    """
    where = placed(case)
    worst = _worst(case)
    marks = {station.name: place for station, place in ((one, where.stations[one.name]) for one in case.trace)}
    wall_at = _along(where, case.wall.along)
    content = "".join((
        element("style", STYLE), _named_parts(), _wall(case, where), _ribbons(case, where, shown),
        _heats(case, where, figures) if shown == "heat" else "",
        _boxes(record, case, marks, wall_at, worst, figures, shown, beside),
        "".join(_station(one, marks[one.name]) for one in case.trace), _wall_mark(wall_at),
        text(1160.0, 520.0, told("radial gaps are drawn larger than they are"), class_="soft", text_anchor="end"),
        element("g", _legend(record, case, figures, shown), id="layer-legend")))
    words = told("Half-section with the stations of the circulation. Case {case}: {outcome}", case=case.name,
                 outcome=case.outcome_words)
    return document(content, width=WIDTH, height=HEIGHT, top=TOP, class_="wp-section",
                    title=told("Section of {pump}", pump=record.pump), description=words, identity=identity,
                    interactive=True)


@cache
def section_parts() -> str:
    """The parts of the pump as drawn, without anything of a rating."""
    whole = files("wetpath").joinpath("data", "drawing", "section.svg").read_text(encoding="utf-8")
    found = re.search(r"<svg[^>]*>(.*)</svg>", whole, re.DOTALL)
    assert found is not None
    return found.group(1)


def _named_parts() -> str:
    """The parts with their names as they are spoken."""
    return re.sub(r"(<title>)([^<]*)", lambda found: found[1] + spoken(found[2]), section_parts())


def _along(where: Placed, share: float) -> Point:
    (x1, _), (x2, _) = where.annulus_ends
    return x1 + share * (x2 - x1), WALL_INSIDE


def _worst(case: CaseRecord) -> str:
    """Station, or the wall, that stands worst, and of those the one with the least margin in K."""
    if case.lost_at:
        return case.lost_at
    found = [(_ORDER[one.standing], one.margin_k, one.name) for one in case.trace if one.margin_k is not None]
    if case.wall.margin_k is not None:
        found.append((_ORDER[_wall_level(case)], case.wall.margin_k, WALL))
    return min(found, default=(0, 0.0, ""))[2]


def _wall_level(case: CaseRecord) -> Standing:
    cell = min(case.annulus, key=lambda one: abs(one.along - case.wall.along), default=None)
    return cell.standing if cell else Standing.UNKNOWN


def _wall(case: CaseRecord, where: Placed) -> str:
    """The shell under the magnets, cell by cell, in the colour of its margin to boiling."""
    (x1, _), (x2, _) = where.annulus_ends
    step = (x2 - x1) / max(len(case.annulus), 1)
    return element("g", "".join(
        element("rect", x=min(x1 + number * step, x1 + (number + 1) * step), y=WALL_OUTSIDE, width=abs(step) + 0.2,
                height=WALL_INSIDE - WALL_OUTSIDE, fill=colour(cell.standing))
        for number, cell in enumerate(case.annulus)), id="shell-wall")


def _ribbons(case: CaseRecord, where: Placed, shown: Shown) -> str:
    joined: dict[str, tuple[BranchRecord, float]] = {}
    for number, branch in enumerate(case.branches):
        path = _annulus_path(where) if branch.kind == "annulus" else where.paths[number]
        flow = joined[path][1] if path in joined else 0.0
        joined[path] = branch, flow + abs(branch.flow_kg_per_s)
    largest = max((flow for _, flow in joined.values()), default=0.0) or 1.0
    stations = {one.name: one for one in case.trace}
    drawn = []
    for path, (branch, flow) in joined.items():
        width = min(max(WIDEST * math.sqrt(flow / largest), NARROWEST), WIDEST)
        reached = stations[branch.end if branch.flow_kg_per_s >= 0 else branch.start]
        left = stations[branch.start if branch.flow_kg_per_s >= 0 else branch.end]
        drawn.append(element("path", class_="seg-halo", stroke_width=width + 3, d=path))
        stroke = _stroke(case, left, reached, shown)
        drawn.append(element("path", element("title", spoken(branch.name)), class_="seg", stroke_width=width, d=path,
                             stroke=stroke, data_reached=reached.name,
                             data_back="1" if branch.flow_kg_per_s < 0 else None))
        dashes = DASHES.get(reached.standing) if shown == "margin" else None
        if dashes:
            drawn.append(element("path", class_="seg-mark", stroke_width=width * 0.26, stroke_dasharray=dashes, d=path))
    return element("g", "".join(drawn), id="layer-path")


def _annulus_path(where: Placed) -> str:
    (x1, y1), (x2, y2) = where.annulus_ends
    return f"M{x1:g} {y1:g}L{x2:g} {y2:g}"


def _stroke(case: CaseRecord, left: StationRecord, reached: StationRecord, shown: Shown) -> str:
    if shown in ("margin", "heat"):
        return colour(reached.standing)
    values = [_value(one, shown) for one in case.trace]
    low, high = min(values), max(values)
    here = (_value(left, shown) + _value(reached, shown)) / 2
    share = (here - low) / (high - low) if high > low else 0.5
    return SCALE[min(int(share * len(SCALE)), len(SCALE) - 1)]


def _value(station: StationRecord, shown: Shown) -> float:
    return station.temperature_k if shown == "temperature" else station.pressure_pa


def _heats(case: CaseRecord, where: Placed, figures: Figures) -> str:
    """Dots with area in proportion to the heat, where it enters the liquid."""
    heats: dict[str, tuple[float, Point]] = {}
    for branch in case.branches:
        if branch.kind == "annulus":
            (x1, y1), (x2, _) = where.annulus_ends
            at: Point = ((x1 + x2) / 2, y1)
        else:
            start, end = where.stations[branch.start], where.stations[branch.end]
            at = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        name = branch.bearing or branch.name
        heats[name] = heats.get(name, (0.0, at))[0] + branch.heat_w, at
    drawn = []
    for name, (heat, at) in heats.items():
        if abs(heat) >= 1.0:
            radius = math.sqrt(DOT_AREA * abs(heat) / math.pi)
            amount = f"{figures.number(heat, q.POWER, unit='W', decimals=0)} W"
            drawn.append(element("circle", element("title", f"{spoken(name)}: {amount}"), class_="heat", cx=at[0],
                                 cy=at[1], r=radius))
            drawn.append(text(at[0] + radius + 4, at[1] + 4, amount, class_="told"))
    return "".join(drawn)


def _station(station: StationRecord, at: Point) -> str:
    name = spoken(told("Station {name}, {title}", name=station.name, title=station.title))
    return element("g", "".join((
        element("title", name), element("circle", class_="hit", cx=at[0], cy=at[1], r=13, fill="transparent"),
        element("circle", class_="dot", cx=at[0], cy=at[1], r=8.6),
        text(at[0], at[1] + 3.7, station.name, class_="number"))),
        class_="station", data_station=station.name, role="button", tabindex=0, aria_label=name)


def _wall_mark(at: Point) -> str:
    name = spoken(told("Shell wall where its margin is least"))
    return element("g", element("title", name) + element(
        "path", d=f"M{at[0] - 6:g} {at[1] - 3:g}L{at[0]:g} {at[1] - 9:g}L{at[0] + 6:g} {at[1] - 3:g}L{at[0]:g} "
        f"{at[1] + 3:g}Z", class_="dot"), class_="station", data_station=WALL, role="button", tabindex=0,
        aria_label=name)


def _boxes(record: Record, case: CaseRecord, marks: dict[str, Point], wall_at: Point, worst: str, figures: Figures,
           shown: Shown, beside: CaseRecord | None) -> str:
    before = {one.name: one for one in beside.trace} if beside else {}
    entries: list[tuple[Point, str, list[str], Standing, bool]] = []
    for one in case.trace:
        why = why_not_valid(record, case, figures, one.temperature_k)
        shows = _told(one, figures, shown, before.get(one.name), short=bool(why))
        entries.append((marks[one.name], one.name, [
            f"{one.name} {_capital(spoken(one.title))}", in_brackets(_state(one, figures), why),
            in_brackets(shows, why)],
            one.standing, one.name == worst))
    level = _wall_level(case)
    why = why_not_valid(record, case, figures)
    margin = in_brackets(figures.text(case.wall.margin_k, q.TEMPERATURE_DIFFERENCE, sign=True), why)
    entries.append((wall_at, WALL, [
        told("Shell wall, worst place"), told(
            "{share:.0f} % along · {temperature}", share=case.wall.along * 100,
            temperature=in_brackets(figures.text(case.wall.temperature_k, q.TEMPERATURE), why)),
        told("{sign} {margin} to boiling", sign=level.sign, margin=margin) if margin != NOTHING else told(
            "boiling not known")], level, worst == WALL))
    rows = ([entry for entry in entries if entry[0][1] < DIVIDE], [entry for entry in entries if entry[0][1] >= DIVIDE])
    drawn = []
    for row, (left, top), above in zip(rows, (ABOVE, BELOW), (True, False), strict=True):
        step = min(BOX_STEP, (WIDTH - left - BOX_WIDTH - 4) / max(len(row) - 1, 1))
        for number, (at, name, lines, standing, is_worst) in enumerate(sorted(row, key=lambda entry: entry[0])):
            x = left + number * step
            drawn.append(_leader(at, (x + BOX_WIDTH / 2, top + (BOX_HEIGHT if above else 0.0)), above))
            drawn.append(_box(x, top, name, lines, standing, is_worst))
    return element("g", "".join(drawn), id="layer-boxes")


def _leader(at: Point, foot: Point, above: bool) -> str:
    turn = foot[1] + (10 if above else -10)
    return element("path", class_="leader", d=f"M{foot[0]:g} {foot[1]:g}L{foot[0]:g} {turn:g}L{at[0]:g} {at[1]:g}")


def _box(x: float, y: float, station: str, lines: list[str], standing: Standing, worst: bool) -> str:
    short = standing is Standing.SHORT
    return element("g", "".join((
        element("rect", class_="frame", x=x, y=y, width=BOX_WIDTH, height=BOX_HEIGHT),
        element("rect", x=x, y=y, width=5, height=BOX_HEIGHT, fill=colour(standing)),
        text(x + 12, y + 17, lines[0], class_="name"), text(x + 12, y + 36, lines[1]),
        text(x + 12, y + 55, lines[2], class_="told", style="fill:var(--short)" if short else None))),
        class_="box" + " worst" * worst + " short" * short, data_station=station)


def _state(station: StationRecord, figures: Figures) -> str:
    return f"{figures.text(station.pressure_pa, q.PRESSURE)} · {figures.text(station.temperature_k, q.TEMPERATURE)}"


def _told(station: StationRecord, figures: Figures, shown: Shown, before: StationRecord | None, *,
          short: bool = False) -> str:
    if shown == "heat" or station.margin_pa is None:
        return f"{figures.text(station.flow_kg_per_s, q.MASS_FLOW)}"
    if before is not None and before.margin_pa is not None:
        change = figures.number(station.margin_pa - before.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)
        margin = figures.text(station.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)
        return f"{station.standing.sign} {margin} (Δ {change})"
    kelvin = "" if short else f" · {figures.text(station.margin_k, q.TEMPERATURE_DIFFERENCE)}"
    return f"{station.standing.sign} {figures.text(station.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)}{kelvin}"


def _capital(words: str) -> str:
    return words[:1].upper() + (words[1:] if len(words) <= 18 else words[1:17].rstrip(" ,") + "…")


def _legend(record: Record, case: CaseRecord, figures: Figures, shown: Shown) -> str:
    x, y = 900.0, 552.0
    drawn = []
    if shown in ("temperature", "pressure"):
        values = [_value(one, shown) for one in case.trace]
        kind = q.TEMPERATURE if shown == "temperature" else q.PRESSURE
        drawn.append(text(x, y, told("{what} of the liquid; width = flow", what=shown), class_="soft"))
        drawn.extend(element("rect", x=x + 24 * number, y=y + 8, width=24, height=10, fill=shade)
                     for number, shade in enumerate(SCALE))
        drawn.append(text(x, y + 34, figures.text(min(values), kind)))
        drawn.append(text(x + 120, y + 34, figures.text(max(values), kind), text_anchor="end"))
        return "".join(drawn)
    drawn.append(text(x, y, told("margin to vapour against the practice; width = flow"), class_="soft"))
    for number, level in enumerate((Standing.SHORT, Standing.TIGHT, Standing.HOLDS, Standing.AMPLE)):
        left, top = x + 100 * (number // 2), y + 17 + 20 * (number % 2)
        drawn.append(line(left, top, left + 36, top, stroke=colour(level), stroke_width=9))
        if level in DASHES:
            drawn.append(line(left, top, left + 36, top, stroke="var(--halo)", stroke_width=2.3,
                              stroke_dasharray=DASHES[level]))
        drawn.append(text(left + 43, top + 4, f"{level.sign} {spoken(level.value)}"))
    return "".join(drawn)
