"""All pumps of a fleet on one margin ruler: range as a thick line, an arrow for what has moved, grey where no data."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from wetpath.drawing.axes import steps
from wetpath.drawing.figures import Figures
from wetpath.drawing.palette import DASHES, colour
from wetpath.drawing.svg import document, element, line, text
from wetpath.edge import quantities as q
from wetpath.services.fleet import FleetState, PumpState, Status
from wetpath.services.standing import Standing

#: Signs of the status, before the name of a pump; the mark on the ruler tells how the margin stands.
SIGNS = {Status.SHORT: Standing.SHORT, Status.LOOK: Standing.TIGHT, Status.WELL: Standing.HOLDS,
         Status.STOPPED: Standing.NOT_ASKED, Status.SILENT: Standing.UNKNOWN}
#: Letters of a service that are shown.
LONGEST = 26
#: Where a margin stands along the ruler.
Place = Callable[[float], float]
WIDTH, LEFT, RIGHT, ROW, TOP = 1060.0, 122.0, 905.0, 17.0, 42.0
STYLE = (".wp-fleet text{font-family:'IBM Plex Sans Condensed','Arial Narrow',sans-serif;fill:var(--ink);"
         "font-size:12.5px}"
         ".wp-fleet .soft{fill:var(--soft);font-size:11.5px}.wp-fleet .bold{font-weight:600}"
         ".wp-fleet .pump{cursor:pointer}.wp-fleet .pump .back{fill:transparent}"
         ".wp-fleet .pump:hover .back{fill:var(--tint)}.wp-fleet .pump.on .back{fill:var(--tint)}")


def draw_ruler(rows: Sequence[tuple[str, PumpState, str]], state: FleetState, figures: Figures, *, selected: str = ""
               ) -> str:
    """Draw rows of what a click does, the pump whose margin is shown, and the words before it; lowest first."""
    unit = figures.units.unit(q.PRESSURE_DIFFERENCE)
    shown = [one for _, one, _ in rows if _has_margin(one)]
    values = [value / unit.factor for one in shown for value in (
        one.margin - _known(one.half_range), one.margin + _known(one.half_range), one.demand,
        one.came_from if one.moved else one.margin)]
    low, high = min([0.0, *values]), max([1e5 / unit.factor, *values])
    high += 0.03 * (high - low)

    def x(value: float) -> float:
        return LEFT + (value / unit.factor - low) / (high - low) * (RIGHT - LEFT)

    bottom = TOP + ROW * len(rows)
    drawn = [element("style", STYLE)]
    demands = {one.demand for one in shown}
    if len(demands) == 1:
        demand = demands.pop()
        drawn.append(element("rect", x=LEFT, y=TOP, width=max(x(demand) - LEFT, 0.0), height=bottom - TOP,
                             fill="var(--mark)"))
    for value, words in steps(low, high, most=8):
        place = LEFT + (value - low) / (high - low) * (RIGHT - LEFT)
        drawn.append(text(place, TOP - 10, words, class_="soft", text_anchor="middle"))
        drawn.append(line(place, TOP - 5, place, bottom, stroke="var(--hair)", stroke_width=0.6))
    drawn.append(text(LEFT, TOP - 27, f"margin to the vapour pressure, {unit.printed}", class_="soft"))
    for number, (act, one, words) in enumerate(rows):
        on = one.pump.tag == selected
        drawn.append(_row(act, one, words, TOP + ROW * (number + 0.5), x, figures, on=on))
    return document("".join(drawn), width=WIDTH, height=bottom + 6, class_="wp-fleet", identity="fleet",
                    title="Margins of the pumps, the worst first", description=state.sentence, interactive=True)


def _row(act: str, one: PumpState, words: str, y: float, x: Place, figures: Figures, *, on: bool) -> str:
    needs = one.status in (Status.SHORT, Status.LOOK) and not one.quiet
    parts = [element("rect", x=0, y=y - ROW / 2, width=WIDTH, height=ROW, class_="back"),
             text(8, y + 4, f"{SIGNS[one.status].sign} {words}", class_="bold" if needs else None),
             line(LEFT, y, RIGHT, y, stroke="var(--hair)", stroke_width=0.5)]
    right = one.pump.service or one.pump.site
    if one.quiet:
        right = f"seen; {right}" if right else "seen"
    right = right if len(right) <= LONGEST else f"{right[:LONGEST - 1]}…"
    seen, told = [f"{SIGNS[one.status].sign} {words}", right], str(one.status)
    if on:
        parts.append(element("rect", x=0, y=y - ROW / 2, width=3, height=ROW, fill="var(--ink)"))
    if _has_margin(one):
        parts += _marks(one, y, x)
        told += (f", margin {figures.text(one.margin, q.PRESSURE_DIFFERENCE)} plus or minus "
                 f"{figures.text(one.half_range, q.PRESSURE_DIFFERENCE)}")
    else:
        parts.append(text(LEFT + 8, y + 4, grey_words(one), class_="soft"))
        seen.insert(1, grey_words(one))
    parts.append(text(RIGHT + 10, y + 4, right, class_="soft"))
    return element("g", " ".join(parts), class_=f"pump{' on' if on else ''}", data_do=act, role="button", tabindex=0,
                   aria_label=f"{' '.join(seen).strip()}: {told}", aria_pressed="true" if on else "false")


def _marks(one: PumpState, y: float, x: Place) -> list[str]:
    level = one.standing
    half = _known(one.half_range)
    parts = [line(x(one.margin - half), y, x(one.margin + half), y, stroke=colour(level), stroke_width=5,
                  stroke_opacity=0.45, stroke_dasharray=DASHES.get(level)),
             line(x(one.demand), y - ROW / 2, x(one.demand), y + ROW / 2, stroke="var(--short)", stroke_width=1.6)]
    here = x(one.margin)
    if one.moved:
        there = x(one.came_from)
        way = 1 if here > there else -1
        parts.append(line(there, y, here - 7 * way, y, stroke="var(--ink)", stroke_width=1.2))
        parts.append(element("path", d=f"M{here - 12 * way:.1f} {y - 3.5:.1f}L{here - 6 * way:.1f} {y:.1f}"
                                       f"L{here - 12 * way:.1f} {y + 3.5:.1f}", fill="none", stroke="var(--ink)",
                             stroke_width=1.2))
    parts.append(_sign(level, here, y))
    return parts


def _sign(level: Standing, x: float, y: float) -> str:
    if level is Standing.SHORT:
        return element("path", d=f"M{x - 5:.1f} {y - 5:.1f}L{x + 5:.1f} {y - 5:.1f}L{x:.1f} {y + 5:.1f}Z",
                       fill=colour(level))
    if level is Standing.TIGHT:
        return element("path", d=f"M{x:.1f} {y - 6:.1f}L{x + 5:.1f} {y:.1f}L{x:.1f} {y + 6:.1f}L{x - 5:.1f} {y:.1f}Z",
                       fill=colour(level))
    return element("circle", cx=x, cy=y, r=4.5, fill=colour(level))


def grey_words(one: PumpState) -> str:
    """Why a pump has no margin now, with its time."""
    if one.status is Status.STOPPED:
        since = one.margin_at
        return f"stopped, last ran {since:%d %B %H:%M} UTC" if since else "stopped"
    if one.status is Status.SILENT:
        if one.at is None:
            return one.why[0] if one.why else "no data"
        return f"no data since {one.at:%d %B %H:%M} UTC"
    return "no margin can be told"


def _has_margin(one: PumpState) -> bool:
    return one.status not in (Status.STOPPED, Status.SILENT) and math.isfinite(one.margin)


def _known(value: float) -> float:
    return value if math.isfinite(value) else 0.0


