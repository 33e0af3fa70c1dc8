"""An upset on a page: one lane for each instrument over time, and the section of the pump moment by moment."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.drawing.axes import steps
from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.palette import colour
from wetpath.drawing.section import WALL
from wetpath.drawing.svg import document, element, line, polyline, text
from wetpath.drawing.upset_words import seconds, value_text
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.questions.protection.matrix import Reading, reading_of
from wetpath.services.standing import Standing, standing, wall_standing
from wetpath.services.upsets import Followed

Array = NDArray[np.float64]

#: Lanes of instruments at most; those that act first.
MOST_LANES = 9
#: Time shown after the last thing that happens, as a share of it, and the least that is shown [s]; what comes later
#: than so many times the harm is told in words only.
AFTER, LEAST_SHOWN, FAR = 0.25, 20.0, 4.0
#: Moments of the section drawing.
MOMENTS = 121
#: With less than this share of liquid a space is told as without.
NO_LIQUID = 0.05
_LEFT, _RIGHT, _TOP, _LANE, _WIDTH = 190.0, 130.0, 44.0, 66.0, 1040.0

STYLE = """
.wp-lanes text{font-family:"IBM Plex Sans Condensed","Arial Narrow",sans-serif;font-size:12.5px;fill:var(--ink)}
.wp-lanes .soft{fill:var(--soft);font-size:11.5px}.wp-lanes .b{font-weight:600}.wp-lanes .late{fill:var(--short)}
.wp-lanes .now{font-weight:600;text-anchor:end}
"""


def lanes_of(found: Followed) -> list[Reading]:
    """Readings that have a lane: of each measured quantity the trip that acts first, the earliest first."""
    usable = [one for one in found.cause.readings if one.setting.usable]
    one_each: dict[str, Reading] = {}
    for reading in sorted(usable, key=lambda one: one.acts):
        one_each.setdefault(reading.setting.instrument.signal.name, reading)
    return list(one_each.values())[:MOST_LANES]


def last_shown(found: Followed) -> float:
    """End of the time that is drawn [s]: a little after the last thing that happens."""
    cause, course = found.cause, found.line
    harm = max((one for one in (cause.lost.nominal, cause.damage.nominal) if np.isfinite(one)), default=np.inf)
    far = cause.begins + max(FAR * (harm - cause.begins), LEAST_SHOWN)
    times = [cause.begins, harm, cause.damage.high, *(one.acts for one in lanes_of(found))]
    last = max((one for one in times if np.isfinite(one) and one <= far), default=0.0)
    return float(min(course.time[-1], max(last + AFTER * max(last - cause.begins, 0.0), cause.begins + LEAST_SHOWN)))


def hidden_margin(found: Followed) -> tuple[str, Kind, Array]:
    """What no instrument shows: name, kind and course of the least margin, or of the liquid left where it is not known.
    """
    course = found.line
    known = ~np.isnan(course.station_margin).all(axis=1)
    if not known.any():
        return "liquid left behind the impeller", q.RATIO, course.rear_liquid_share
    margin = np.full(course.time.size, np.nan)
    margin[known] = np.nanmin(course.station_margin[known], axis=1)
    return "least margin to vapour pressure", q.PRESSURE_DIFFERENCE, margin


@dataclass(frozen=True)
class _Lane:
    """One lane: what it is called, its course, set point and what is written at its end."""

    title: str
    kind: Kind
    values: Array
    reading: Reading | None = None


def _all_lanes(found: Followed) -> list[_Lane]:
    name, kind, values = hidden_margin(found)
    lanes = [_Lane(f"Hidden: {name}", kind, values)]
    return lanes + [_Lane(_capital(one.setting.instrument.title), one.setting.instrument.signal.kind,
                          reading_of(found.rating, found.line, one.setting, found.case, found.band), one)
                    for one in lanes_of(found)]


def lanes_drawing(found: Followed, figures: Figures) -> str:
    """Draw the lanes of an upset, the hidden margin first.

    Marks: cause begins, liquid lost, damage; the time between the last two is tinted. A diamond stands where an
    instrument acts. The line ``#moment-line`` stands at the moment looked at; it is moved by the page.
    """
    lanes, last = _all_lanes(found), last_shown(found)
    height = _TOP + _LANE * len(lanes) + 30
    wide = _WIDTH - _LEFT - _RIGHT

    def at(time: float) -> float:
        return _LEFT + wide * time / last

    drawn = [element("style", STYLE), *_marks(found, at, last, height)]
    shown = found.line.time <= last
    for number, lane in enumerate(lanes):
        drawn.append(_lane(found, lane, figures, _TOP + _LANE * number, shown, at, number))
    bottom = _TOP + _LANE * len(lanes)
    begins = found.cause.begins
    for after, words in steps(-begins, last - begins, most=8):
        drawn.append(text(at(after + begins), bottom + 18, f"{words}\u2009s", class_="soft", text_anchor="middle"))
    drawn.append(line(_LEFT, _TOP - 6, _LEFT, bottom, id="moment-line", stroke="var(--act)", stroke_width=2,
                      data_from=f"{_LEFT:g}", data_wide=f"{wide:g}"))
    cause = found.cause
    words = f"{cause.title}, case {found.rating.case_names[found.case]}. " + " ".join(
        f"{_capital(one.setting.instrument.title)}: {told_of(one, cause.begins)}." for one in lanes_of(found))
    return document("".join(drawn), width=_WIDTH, height=height, class_="wp-lanes", title="What instruments show",
                    description=words, identity="lanes")


def told_of(reading: Reading, begins: float) -> str:
    """Seen, too late or not seen, with the time after the cause."""
    if not reading.setting.usable or not reading.seen:
        return reading.words
    return f"{reading.words} {seconds(reading.acts - begins)}"


def _marks(found: Followed, at: Any, last: float, height: float) -> list[str]:
    cause = found.cause
    drawn = []
    lost, damage = cause.lost.nominal, cause.damage.nominal
    if np.isfinite(lost) and lost <= last:
        end = min(damage, last)
        drawn.append(element("rect", x=at(lost), y=_TOP - 6, width=max(at(end) - at(lost), 0.1),
                             height=height - _TOP - 24, fill="var(--mark)"))
    rows = [(cause.begins, "0\u2009s cause begins", "var(--ink)", None, 0),
            (lost, f"{seconds(lost - cause.begins)} liquid lost {cause.lost_where}", "var(--short)", "4 3", 1),
            (damage, f"{seconds(damage - cause.begins)} {cause.damage_text}", "var(--short)", None, 2)]
    for time, words, ink, dashes, row in rows:
        if not np.isfinite(time) or time > last:
            continue
        drawn.append(line(at(time), _TOP - 6, at(time), height - 30, stroke=ink, stroke_width=1.5,
                          stroke_dasharray=dashes))
        left = at(time) < _WIDTH * 0.62
        drawn.append(text(at(time) + (4 if left else -4), 11 + 12 * row, words, class_="b",
                          text_anchor="start" if left else "end", style=f"fill:{ink}"))
        drawn.append(line(at(time), 5 + 12 * row, at(time), _TOP - 6, stroke=ink, stroke_width=0.6))
    return drawn


def _lane(found: Followed, lane: _Lane, figures: Figures, top: float, shown: NDArray[np.bool_], at: Any,
          number: int) -> str:
    unit = figures.units.unit(lane.kind)
    values = np.asarray(convert(lane.values[shown], lane.kind, unit.name))
    times = found.line.time[shown]
    set_point = float("nan")
    if lane.reading is not None:
        set_point = float(convert(lane.reading.setting.set_point, lane.kind, unit.name))
    known = np.r_[values[np.isfinite(values)], set_point if np.isfinite(set_point) else []]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    if lane.reading is None:
        low = min(low, 0.0)
    room = max(high - low, 1e-9 * max(abs(high), 1.0)) or 1.0
    foot, tall = top + _LANE - 12, _LANE - 24

    def up(value: float) -> float:
        return foot - tall * (value - low) / room

    drawn = [line(_LEFT - 150, top + _LANE - 2, _WIDTH - 10, top + _LANE - 2, stroke="var(--hair)", stroke_width=0.6),
             *_title(lane.title, figures.unit(lane.kind), top)]
    hidden = lane.reading is None
    for first, past in _pieces(values):
        picked = _thinned(first, past)
        drawn.append(polyline([(at(float(times[i])), up(float(values[i]))) for i in picked],
                              stroke="var(--short)" if hidden else "var(--ample)", stroke_width=2,
                              stroke_dasharray="6 4" if hidden else None))
    begin = float(values[np.isfinite(values)][0]) if np.isfinite(values).any() else float("nan")
    if np.isfinite(begin):
        drawn.append(text(_LEFT - 6, up(begin) + 4, _short(begin), class_="soft", text_anchor="end"))
    if hidden and low <= 0 <= high:
        drawn.append(line(_LEFT, up(0.0), _WIDTH - _RIGHT, up(0.0), stroke="var(--short)", stroke_width=0.8))
    if lane.reading is not None and np.isfinite(set_point):
        drawn += _set_point(lane.reading, set_point, up(set_point), at, found)
    drawn.append(text(_WIDTH - 12, top + 46, NOTHING, class_="now", data_lane=str(number)))
    return "".join(drawn)


def _title(words: str, unit: str, top: float) -> list[str]:
    """Name and unit of a lane, the name on two lines where it is long."""
    lines = textwrap.wrap(words, 24)
    drawn = [text(8, top + 20 + 14 * number, one, class_="b") for number, one in enumerate(lines)]
    return [*drawn, text(8, top + 21 + 14 * len(lines), unit, class_="soft")]


def _set_point(reading: Reading, value: float, y: float, at: Any, found: Followed) -> list[str]:
    drawn = [line(_LEFT, y, _WIDTH - _RIGHT, y, stroke="var(--soft)", stroke_width=1, stroke_dasharray="3 3"),
             text(_WIDTH - _RIGHT + 6, y - 2 if y > 60 else y + 4, f"set {_short(value)}", class_="soft")]
    last = last_shown(found)
    late = "" if reading.in_time else " late"
    if reading.seen and reading.acts <= last:
        x = at(reading.acts)
        drawn.append(element("path", d=f"M{x - 7:g} {y:g}L{x:g} {y - 7:g}L{x + 7:g} {y:g}L{x:g} {y + 7:g}Z",
                             fill="var(--paper)", stroke="var(--ink)" if not late else "var(--short)",
                             stroke_width=1.6))
        left = x > _WIDTH * 0.55
        drawn.append(text(x + (-11 if left else 11), y - 8, told_of(reading, found.cause.begins), class_=f"b{late}",
                          text_anchor="end" if left else "start"))
    else:
        drawn.append(text(_WIDTH - _RIGHT + 6, y + 13, told_of(reading, found.cause.begins), class_=f"b{late}"))
    return drawn


def _pieces(values: Array) -> list[tuple[int, int]]:
    """Stretches of known values."""
    known = np.r_[False, np.isfinite(values), False]
    edges = np.flatnonzero(known[1:] != known[:-1])
    return [(int(first), int(past)) for first, past in zip(edges[::2], edges[1::2], strict=True) if past - first > 1]


def _thinned(first: int, past: int) -> NDArray[np.int64]:
    """At most some hundred points of a stretch."""
    return np.unique(np.linspace(first, past - 1, min(past - first, 400)).round().astype(np.int64))


def moments(found: Followed, figures: Figures) -> dict[str, Any]:
    """What the section drawing, the lanes and the line of words show at each moment, for the page to put in place.

    Times are seconds from the beginning; colours are those of the style sheet; every word is ready to be shown.
    """
    course, practice = found.line, found.rating.practice
    times = np.linspace(0.0, last_shown(found), MOMENTS)
    index = np.clip(np.searchsorted(course.time, times), 0, course.time.size - 1)
    demand = practice["vapour_margin_pressure"].value
    known = found.rating.situation.liquids[found.rating.situation.model_of[found.case]].has_vapour_pressure
    lanes = _all_lanes(found)
    frames = []
    for at, time in zip(index.tolist(), times.tolist(), strict=True):
        stations = {name: _station(float(course.station_margin[at, place]), demand, known, figures)
                    for place, name in enumerate(course.station_names)}
        stations[WALL] = _wall(found, at, figures)
        hottest = float(course.shell_wall[at].max())
        frames.append({
            "t": seconds(time - found.cause.begins), "s": stations,
            "w": [_band(found, at, band, hottest) for band in range(course.shell_wall.shape[1])],
            "l": round(float(min(course.rear_liquid_share[at], course.casing_liquid_share[at])), 3),
            "v": [_now(lane, at, figures) for lane in lanes],
            "p": _words(found, at, figures)})
    return {"last": float(times[-1]), "frames": frames}


def _now(lane: _Lane, at: int, figures: Figures) -> str:
    """Value of a lane; what is nothing beside its largest is nothing."""
    value = float(lane.values[at])
    if lane.kind is not q.TEMPERATURE and abs(value) < 1e-4 * float(np.nanmax(np.abs(lane.values), initial=0.0)):
        value = 0.0
    return value_text(figures, value, lane.kind)


def _station(margin: float, demand: float, known: bool, figures: Figures) -> list[str]:
    """Colour, second and third line of a box; a fourth word where there is no liquid."""
    if not known:
        return [colour(Standing.UNKNOWN), "", "boiling not known"]
    if np.isnan(margin):
        return [colour(Standing.SHORT), "margin to vapour", f"{Standing.SHORT.sign} no liquid", "dotted"]
    level = Standing.SHORT if margin < 0 else standing((margin - demand) / abs(demand or 1e5))
    return [colour(level), "margin to vapour",
            f"{level.sign} {figures.text(margin, q.PRESSURE_DIFFERENCE, sign=True)}"]


def _wall(found: Followed, at: int, figures: Figures) -> list[str]:
    course = found.line
    margin, outside = float(course.wall_margin[at]), figures.text(float(course.shell_wall[at].max()), q.TEMPERATURE)
    if np.isnan(margin):
        dry = course.rear_liquid_share[at] < NO_LIQUID
        return [colour(Standing.SHORT if dry else Standing.UNKNOWN), f"outside {outside}",
                f"{Standing.SHORT.sign} dry" if dry else "boiling not known"]
    level = wall_standing(margin, found.rating.practice)
    return [colour(level), f"outside {outside}",
            f"{level.sign} {figures.text(margin, q.TEMPERATURE_DIFFERENCE, sign=True)} to boiling"]


def _band(found: Followed, at: int, band: int, hottest: float) -> str:
    margin = float(found.line.wall_margin[at]) + hottest - float(found.line.shell_wall[at, band])
    if np.isnan(margin):
        return colour(Standing.SHORT if found.line.rear_liquid_share[at] < NO_LIQUID else Standing.UNKNOWN)
    return colour(wall_standing(margin, found.rating.practice))


def _words(found: Followed, at: int, figures: Figures) -> str:
    course = found.line
    share = (f"liquid behind the impeller {figures.text(float(course.rear_liquid_share[at]), q.RATIO)}, "
             f"in the impeller {figures.text(float(course.casing_liquid_share[at]), q.RATIO)}, in the bearings "
             f"{figures.text(float(course.bearing_liquid_share[at]), q.RATIO)}")
    step = "" if np.isfinite(course.load_angle[at]) or course.outer_speed[at] <= 0 else "; rings out of step"
    return (f"{seconds(float(course.time[at]) - found.cause.begins)} after the cause: {share}; shell outside "
            f"{figures.text(float(course.shell_wall[at].max()), q.TEMPERATURE)}, inner magnets "
            f"{figures.text(float(course.magnet_temperature[at]), q.TEMPERATURE)}, bearings "
            f"{figures.text(float(course.bearing_temperature[at]), q.TEMPERATURE)}, dry for "
            f"{figures.text(float(course.bearing_dry_time[at]), q.TIME)}{step}.")


def _short(value: float) -> str:
    return (f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}").replace("-", "−")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]

