"""The parts of *What protects it?*: readings, moments, events, cause against instrument, the smallest set, restart."""

from __future__ import annotations

from html import escape

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.upset_lanes import MOMENTS
from wetpath.drawing.upset_words import (
    answer_of_plan,
    in_hand,
    quantities_seen,
    restart_in_words,
    seconds,
    sign_of,
    value_text,
    way_out,
    why_no_resolution,
)
from wetpath.edge import quantities as q
from wetpath.faces.web.html import as_table, button, cell, row, table, told
from wetpath.questions.protection.matrix import STOPPING, Cause, Reading
from wetpath.questions.protection.set_points import Setting
from wetpath.questions.protection.study import NOT_SIMULATED, Plan
from wetpath.services.standing import Standing
from wetpath.services.upsets import CAUTIONS, Followed

#: Columns of the matrix: quantities that see most causes in time.
MOST_COLUMNS = 5


def readings_table(found: Followed, figures: Figures) -> str:
    """What each instrument does in an upset, as a table."""
    cause, rows = found.cause, []
    for one in sorted(cause.readings, key=lambda one: (one.acts, not one.setting.usable)):
        instrument = one.setting.instrument
        rows.append(row((cell(told(sign_of(one), instrument.title), raw=True),
                         cell(value_text(figures, one.setting.set_point, instrument.signal.kind), number=True),
                         cell(seconds(one.passes - cause.begins), number=True),
                         cell(seconds(one.acts - cause.begins), number=True), cell(in_hand(one), number=True),
                         cell(one.words))))
    return as_table(table([("", False), ("set point", True), ("passes", True), ("acts", True), ("in hand", True),
                           ("", False)], rows, caption="What each instrument shows")
                    + f"<p class='soft'>In hand before damage; in time when it is more than {STOPPING:g}\u2009s, which "
                      "the driver takes to stop.</p>")


def slider(found: Followed) -> str:
    """The control that moves the section drawing through time, and the line of words."""
    return ("<h2 class='moments-head'>The pump, moment by moment</h2>"
            "<div class='moments-bar'><button type='button' class='btn' id='moment-play' aria-pressed='false'>Play"
            f"</button><input type='range' id='moment' min='0' max='{MOMENTS - 1}' value='0' step='1' "
            f"aria-label='time, {escape(found.cause.title)}'><output id='moment-time' for='moment'></output></div>"
            "<p id='moment-words'></p>")


def events(found: Followed, figures: Figures) -> str:
    """What happens in order, and the limits of the model that were crossed."""
    cause = found.cause
    rows = [row((cell(seconds(one.time - cause.begins) if one.time >= cause.begins else "before", number=True,
                      bold=True), cell(one.text))) for one in cause.line.events
            if one.time >= cause.begins or not one.name.startswith("temperature class")]
    warnings = "".join(f"<p class='soft'>{escape(one[:1].upper() + one[1:].rstrip('.'))}.</p>"
                       for one in map(figures.in_words, found.cause.warnings))
    columns = [("after the cause", True), ("", False)]
    return ("<h2>What happens</h2>" + table(columns, rows, caption="What happens", classes="c times")
            + (f"<h2 style='margin-top:8px'>Warnings and limits crossed</h2>{warnings}" if warnings else ""))


def plan_html(plan: Plan, figures: Figures, upset: str) -> str:
    """The answer of the plan, cause against instrument, the smallest set, what stays uncovered."""
    standing, words = answer_of_plan(plan)
    return (f"<h2>{standing.sign} {escape(words)}</h2>" + _matrix(plan, upset) + _smallest(plan, figures)
            + f"<p>{button('Instrument list, CSV', 'do', 'instrument-list')}</p>")


def _matrix(plan: Plan, upset: str) -> str:
    columns = quantities_seen(plan, MOST_COLUMNS)
    rows = []
    for cause in plan.causes:
        cells = [cell(_hand(cause, name), raw=True, number=True) for name in columns]
        rows.append(row((cell(cause.kind, bold=True), *cells), classes="on" if cause.kind == upset else "",
                        do=f"upset:{cause.kind}"))
    return table([("cause", False), *((title, True) for title in columns.values())], rows,
                 caption="Seconds in hand before damage, each cause and instrument", classes="c matrix") + (
        f"<p class='soft'>Seconds in hand before damage, at the low end of the band. ● in time, ▼ too late (less than "
        f"{STOPPING:g}\u2009s), – not seen, · no harm. Click a cause to follow it.</p>")


def _hand(cause: Cause, signal: str) -> str:
    if not cause.harms:
        return "·"
    readings: list[Reading] = [one for one in cause.readings
                               if one.setting.instrument.signal.name == signal and one.seen]
    if not readings:
        return NOTHING
    best = max(readings, key=lambda one: one.in_hand_low if np.isfinite(one.in_hand_low) else (
        np.inf if one.in_hand_low > 0 else -np.inf))
    if best.in_time:
        return told(Standing.HOLDS, "no harm" if np.isposinf(best.in_hand_low) else _plain(best.in_hand_low))
    return told(Standing.SHORT, "late" if not np.isfinite(best.in_hand_low) else _plain(best.in_hand_low))


def _plain(value: float) -> str:
    return seconds(value).removesuffix("\u2009s")


def _smallest(plan: Plan, figures: Figures) -> str:
    settings = {one.instrument.name: one for one in plan.settings}
    rows = []
    for name in plan.cover.settings:
        one = settings[name]
        longest = plan.longest_delay.get(name, np.inf)
        rows.append(row((cell(one.instrument.title, bold=True),
                         cell(value_text(figures, one.set_point, one.instrument.signal.kind), number=True),
                         cell(seconds(one.instrument.delay), number=True),
                         cell(seconds(longest) if np.isfinite(longest) else "any", number=True),
                         cell(one.instrument.voting))))
    columns = [("instrument", False), ("set point", True), ("delay", True), ("longest delay", True), ("voting", False)]
    shown = table(columns, rows, caption="Smallest set") if rows else "<p>None is needed, or none helps.</p>"
    uncovered = "".join(
        f"<p><b>Uncovered, {escape(name)}:</b> "
        f"{escape(way_out(plan, next(one for one in plan.causes if one.kind == name)))}</p>"
        for name in plan.cover.uncovered)
    trips = ""
    if plan.missed_by_trips is not None:
        names = ", ".join(plan.rating.enquiry.protection.trips)
        trips = (f"<p>The trips of the enquiry ({escape(names)}) miss "
                 f"{escape(', '.join(plan.missed_by_trips) or 'no cause that does harm')}.</p>")
    return f"<h2 style='margin-top:8px'>Smallest set that sees every cause that can be seen in time</h2>{shown}" + (
        uncovered + trips)


def setting_words(one: Setting, figures: Figures) -> tuple[str, str, str]:
    """Title, set point and delay of an instrument as fields show them."""
    title = f"{one.instrument.title}, {one.nuisance_trips} nuisance trips in {one.samples} samples"
    return title, value_text(figures, one.set_point, one.instrument.signal.kind), figures.text(
        one.instrument.delay, q.TIME)


def rest_html(plan: Plan, figures: Figures) -> str:
    """Where there is no resolution, restart, what is not followed, cautions."""
    blind = []
    for one in plan.settings:
        if one.usable or one.reason != "no resolution here":
            continue
        why = " ".join(why_no_resolution(one, met, figures) for met in one.met if not met.told)
        blind.append(f"<p><b>{escape(one.instrument.title)}:</b> {escape(why)}</p>")
    aside = [("Restart", "".join(f"<p>{escape(one)}</p>" for one in restart_in_words(plan, figures))),
             ("Cautions", "".join(f"<p class='soft'>{escape(one)}</p>" for one in CAUTIONS))]
    more = [("No resolution here", "".join(blind)),
            ("Not followed by this model", "".join(f"<p>{escape(cause)}: {escape(seen)}.</p>"
                                                   for cause, seen in NOT_SIMULATED)),
            ("Warnings and limits crossed", "".join(f"<p class='soft'>{escape(figures.in_words(one))}</p>"
                                                    for one in plan.warnings))]
    return "".join(f"<h2 style='margin-top:8px'>{name}</h2>{inside}" for name, inside in aside) + "".join(
        f"<details class='numbers'><summary>{name}</summary>{inside}</details>" for name, inside in more if inside)
