"""The margin rule: every check at its worst case on one line, the limit a stroke, right of it is better."""

from __future__ import annotations

from dataclasses import dataclass

from wetpath.drawing.palette import colour
from wetpath.drawing.svg import CONDENSED, document, element, line, text
from wetpath.services.record import CheckCaseRecord, CheckRecord, Record
from wetpath.services.standing import Standing
from wetpath.words import spoken, told

WIDTH, HEIGHT = 625.0, 142.0
LEFT, RIGHT, AXIS = 22.0, 596.0, 76.0
#: Ends of the scale, distance from the limit over the limit; a mark beyond stands at the end with a "›".
LOWEST, HIGHEST = -0.4, 1.0
#: Checks shown at most; those nearest their limit, or beyond it, first.
MOST = 9
#: Width of a letter of the names [drawing units].
LETTER = 5.6
#: Names of checks whose titles are long.
SHORT_TITLES = {
    "wall_margin_temperature": "shell wall boiling", "circulation": "feed to the shell", "npsh": "NPSH",
    "coldest": "solidification", "table_reach": "property table", "suction_specific_speed": "suction specific speed",
    "preferred_lowest": "preferred flow, low", "preferred_highest": "preferred flow, high",
    "journal_specific_load": "bearing load", "journal_specific_load_worst": "bearing load",
    "film_ratio": "bearing film",
    "journal_load_times_speed": "bearing pV", "axial_thrust_worn": "axial thrust, worn",
    "rolling_bearing_life_worst": "external bearings", "coupling_margin_running": "pull-out, running",
    "coupling_margin_starting": "pull-out, start", "demagnetisation_running": "demagnetisation",
    "demagnetisation_slip": "demagnetisation, slip", "shell_wall": "shell wall thickness",
    "motor_margin": "motor margin", "nameplate": "motor power", "end_of_curve_power": "power over the curve",
    "supply_frequency": "motor speed", "temperature_class_normal": "surface temperature",
    "minimum_continuous_flow": "minimum flow", "maximum_flow": "maximum flow", "inner_magnets": "inner magnets, heat",
    "outer_magnets": "outer magnets, heat", "casing_pressure": "casing pressure", "shell_pressure": "shell pressure",
    "onset_at_wall": "hottest wall", "rated_lowest": "rated flow, low", "rated_highest": "rated flow, high",
    "head_growth": "head in reserve", "rolling_bearing_life_rated": "external bearings, rated",
    "autoignition": "hottest surface", "bearing_temperature_shock": "thermal shock", "gas_share": "gas by volume",
    "inverter_lowest_speed": "speed, lowest", "inverter_highest_speed": "speed, highest"}
STYLE = f"""
.wp-rule text{{font-family:{CONDENSED};fill:var(--ink);font-size:12.5px}}
.wp-rule .soft{{fill:var(--soft);font-size:11.5px}}
.wp-rule .bold{{font-weight:600}}
.wp-rule .check{{cursor:pointer}}
"""


@dataclass(frozen=True)
class _Mark:
    check: CheckRecord
    worst: CheckCaseRecord
    x: float
    clamped: bool
    label: str


def margin_rule(record: Record, *, beside: Record | None = None, identity: str = "rule") -> str:
    """Draw the checks that say most; ``beside`` is drawn as hollow marks, from which the change is seen."""
    marks = [_mark(check, worst, record) for check, worst in _nearest(record)]
    drawn = [element("style", STYLE), element("rect", x=LEFT, y=AXIS - 24, width=_x(0.0) - LEFT, height=24,
                                              fill="var(--mark)"),
             line(LEFT, AXIS, RIGHT, AXIS, stroke="var(--ink)"),
             line(_x(0.0), AXIS - 34, _x(0.0), AXIS + 10, stroke="var(--ink)", stroke_width=2)]
    for share in (-0.4, -0.2, 0.0, 0.2, 0.4, 0.6, 0.8, 1.0):
        drawn.append(line(_x(share), AXIS, _x(share), AXIS + 5, stroke="var(--ink)"))
        name = told("limit") if share == 0 else f"{share * 100:+.0f} %".replace("-", "−")
        drawn.append(text(_x(share), AXIS + 18, name, class_="soft", text_anchor="middle"))
    if beside is not None:
        drawn.append(_ghosts(marks, beside))
    drawn.extend(_drawn(mark, place) for mark, place in zip(marks, _label_places(marks), strict=True))
    listed = "; ".join(f"{spoken(mark.check.title)}: {spoken(mark.worst.standing.value)}" for mark in marks)
    return document("".join(drawn), width=WIDTH, height=HEIGHT, class_="wp-rule",
                    title=told("Every check at its worst operating case"), description=listed, identity=identity,
                    interactive=True)


def _ghosts(marks: list[_Mark], beside: Record) -> str:
    """Where the marks stand in the other record."""
    old = {check.name: check for check in beside.checks}
    drawn = []
    for mark in marks:
        check = old.get(mark.check.name)
        if check is None:
            continue
        worst = next(one for one in check.cases if one.case == check.worst_case)
        if worst.share is None or not worst.asked:
            continue
        x = _x(min(max(worst.share, LOWEST), HIGHEST))
        if abs(x - mark.x) >= 1:
            drawn.append(line(x, AXIS - 12, mark.x, AXIS - 12, stroke="var(--soft)", stroke_width=1,
                              stroke_dasharray="2 2"))
            drawn.append(element("circle", cx=x, cy=AXIS - 12, r=5, fill="var(--paper)", stroke="var(--soft)",
                                 stroke_width=1.4))
    return element("g", "".join(drawn), class_="ghosts")


def _nearest(record: Record) -> list[tuple[CheckRecord, CheckCaseRecord]]:
    found = []
    for check in record.checks:
        worst = next(one for one in check.cases if one.case == check.worst_case)
        if worst.share is not None and worst.asked:
            found.append((check, worst))
    governing = record.verdict.check
    found.sort(key=lambda pair: (pair[0].name != governing, pair[1].share))
    return sorted(found[:MOST], key=lambda pair: pair[1].share or 0.0)


def _mark(check: CheckRecord, worst: CheckCaseRecord, record: Record) -> _Mark:
    share = worst.share or 0.0
    clamped = not LOWEST <= share <= HIGHEST
    letter = worst.case.split()[0] if len(record.cases) > 1 else ""
    short = len(letter) <= 3
    return _Mark(check, worst, _x(min(max(share, LOWEST), HIGHEST)), clamped,
                 f"{short_title(check)} {letter}".strip() if short else short_title(check))


def short_title(check: CheckRecord) -> str:
    """The name of a check for a crowded drawing."""
    words = spoken(SHORT_TITLES[check.name]) if check.name in SHORT_TITLES else spoken(check.title).split(",")[0]
    return words if len(words) <= 26 else words[:25].rstrip() + "…"


def _x(share: float) -> float:
    return LEFT + (share - LOWEST) / (HIGHEST - LOWEST) * (RIGHT - LEFT)


def _label_places(marks: list[_Mark]) -> list[tuple[float, float]]:
    """Middle and height of every name: the rows nearest the line first, none over another."""
    taken: list[tuple[float, float, float]] = []
    places = []
    for mark in marks:
        half = LETTER * len(mark.label) / 2
        middle = min(max(mark.x, half + 2), WIDTH - half - 2)
        for row in (AXIS - 40, AXIS + 38, AXIS - 54, AXIS + 54):
            if all(row != other or middle - half > right + 6 or middle + half < left - 6
                   for left, right, other in taken):
                break
        else:
            row = float("nan")
        taken.append((middle - half, middle + half, row))
        places.append((middle, row))
    return places


def _drawn(mark: _Mark, place: tuple[float, float]) -> str:
    level, (middle, row) = mark.worst.standing, place
    governing = mark.worst.share is not None and level is Standing.SHORT
    shape = _shape(level, mark.x, AXIS - 12)
    parts = [element("title", spoken(told("{check}, case {case}: {standing}", check=mark.check.title,
                                         case=mark.worst.case, standing=level.value))), shape]
    if mark.clamped:
        parts.append(text(mark.x + 7, AXIS - 8, "›" if mark.x > _x(0) else "‹"))
    if row == row:
        above = row < AXIS
        parts.append(line(mark.x, AXIS - 20 if above else AXIS - 4, middle, row + 4 if above else row - 11,
                          stroke="var(--hair)", stroke_width=0.8))
        parts.append(text(middle, row, mark.label, text_anchor="middle", class_="bold" if governing else None))
    return element("g", "".join(parts), class_="check", data_check=mark.check.name, role="button", tabindex=0,
                   aria_label=f"{mark.label}, {spoken(mark.check.title)}: {spoken(level.value)}")


def _shape(level: Standing, x: float, y: float) -> str:
    if level is Standing.SHORT:
        return element("path", d=f"M{x - 6:.1f} {y - 6:.1f}L{x + 6:.1f} {y - 6:.1f}L{x:.1f} {y + 6:.1f}Z",
                       fill=colour(level))
    if level is Standing.TIGHT:
        return element("path", d=f"M{x:.1f} {y - 7:.1f}L{x + 6:.1f} {y:.1f}L{x:.1f} {y + 7:.1f}L{x - 6:.1f} {y:.1f}Z",
                       fill=colour(level))
    return element("circle", cx=x, cy=y, r=5.5, fill=colour(level))
