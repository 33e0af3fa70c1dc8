"""Upsets and the protection plan in words, as every face tells them."""

from __future__ import annotations

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.questions.protection.matrix import Cause, Reading, Times
from wetpath.questions.protection.set_points import Met, Setting
from wetpath.questions.protection.study import Plan
from wetpath.services.standing import Standing
from wetpath.services.upsets import Followed


def answer_of_upset(found: Followed) -> tuple[Standing, str]:
    """The answer of an upset: when damage begins, and who sees it first."""
    cause = found.cause
    first = cause.seen_in_time[0] if cause.seen_in_time else None
    if not cause.harms:
        words, standing = f"No damage within {seconds(found.duration)}", Standing.HOLDS
    elif not np.isfinite(cause.damage.low):
        words = f"Liquid is lost after {band(cause.lost, cause.begins)}, no damage within {seconds(found.duration)}"
        standing = Standing.TIGHT
    else:
        words = f"Damage {band(cause.damage, cause.begins)} after the cause: {cause.damage_text}"
        standing = Standing.SHORT
    if cause.harms and first is not None:
        words += f"; {first.setting.instrument.title} acts after {seconds(first.acts - cause.begins)}"
        standing = Standing.HOLDS
    elif cause.harms:
        words += "; no instrument acts in time"
    return standing, words


def seconds(value: float) -> str:
    """A time as it is told: whole seconds from 20 s on.

    >>> seconds(3.24), seconds(86.4), seconds(float("inf"))
    ('3.2\u2009s', '86\u2009s', '–')
    """
    if not np.isfinite(value):
        return NOTHING
    decimals = 0 if abs(value) >= 20 else 1
    return f"{value:.{decimals}f}\u2009s".replace("-", "−")


def value_text(figures: Figures, value: float, kind: Kind) -> str:
    """A value of a signal with its unit, with three digits that tell something."""
    if not np.isfinite(value):
        return NOTHING
    sign = "+" if kind is q.PRESSURE_DIFFERENCE and value > 0 else ""          # a difference is told from a pressure
    return f"{sign}{figures.significant(value, kind)}\u2009{figures.unit(kind)}".rstrip()


def band(times: Times, since: float) -> str:
    """A time after the cause, with its band."""
    if not np.isfinite(times.low):
        return "not in the time looked at"
    if times.low == times.nominal == times.high:
        return seconds(times.nominal - since)
    ends = f"{seconds(times.low - since)} to " + (seconds(times.high - since) if np.isfinite(times.high) else "never")
    return f"{seconds(times.nominal - since) if times.happens else 'never'} ({ends})"


def in_hand(reading: Reading) -> str:
    """Time in hand before damage, with its band; negative: late."""
    if not reading.seen:
        return NOTHING
    if np.isposinf(reading.in_hand):
        return "no damage"
    if reading.in_hand_low == reading.in_hand == reading.in_hand_high:
        return seconds(reading.in_hand)
    low, high = (NOTHING if not np.isfinite(one) else seconds(one)
                 for one in (reading.in_hand_low, reading.in_hand_high))
    return f"{seconds(reading.in_hand)} ({low} to {high})"


def sign_of(reading: Reading) -> Standing:
    """Sign of a reading."""
    if reading.in_time:
        return Standing.HOLDS
    return Standing.SHORT if reading.seen else Standing.UNKNOWN


def answer_of_plan(plan: Plan) -> tuple[Standing, str]:
    """The answer of a plan: whether every cause that does harm is seen in time."""
    harmful = [one for one in plan.causes if one.harms]
    if not harmful:
        return Standing.HOLDS, f"No cause looked at does harm within {seconds(plan.duration)}"
    if not plan.cover.uncovered:
        number = len(plan.cover.signals)
        see = "instrument sees" if number == 1 else "instruments see"
        return Standing.HOLDS, f"{number} {see} all {len(harmful)} causes that do harm, in time"
    return Standing.SHORT, (f"{len(plan.cover.uncovered)} of {len(harmful)} causes that do harm are seen by no "
                            f"instrument in time: {', '.join(plan.cover.uncovered)}")


def way_out(plan: Plan, cause: Cause) -> str:
    """What can be done about a cause that no instrument sees in time."""
    first = cause.first
    told = "no instrument acts." if first is None else (
        f"{first.setting.instrument.title} acts first, {seconds(first.acts - cause.begins)} after the cause, "
        f"{in_hand(first)} in hand before {cause.damage_text or 'harm'}.")
    if "restart" in cause.kind:
        return f"{told} The restart permissive has to rule it out."
    if cause.at_start:
        return (f"{told} No trip is quick enough at a start: a permissive has to prove the liquid, and that the "
                "rotor is free, before the driver starts.")
    level = next((one for one in plan.settings if one.instrument.name == "low_level"), None)
    vessel = ""
    if level is not None and "suction lost" in cause.kind:
        vessel = (" Where the vessel runs empty a level trip acts before: see the cause vessel emptied."
                  if level.usable else
                  " Give [cases.vessel], so that a level trip, which acts before the liquid is gone, can be judged.")
    return f"{told} Take a shell with less loss, an earlier primary instrument, or rule the cause out.{vessel}"


def why_no_resolution(one: Setting, met: Met, figures: Figures) -> str:
    """Why no set point meets a level."""
    kind = one.instrument.signal.kind
    edge = value_text(figures, one.normal_to if one.instrument.sense == "high" else one.normal_from, kind)
    place = f"{met.text[:1].upper()}{met.text[1:]} at {value_text(figures, met.level, kind)} (case {met.case})"
    if met.resolution <= 0:
        return f"{place} lies inside normal operation, which goes to {edge}."
    between = figures.text(met.apart, one.instrument.signal.difference)
    needed = figures.text(met.needed, one.instrument.signal.difference)
    return f"{place} is {between} away from normal operation ({edge}); error and noise need {needed}."


def restart_in_words(plan: Plan, figures: Figures) -> list[str]:
    """When the pump may be started again."""
    restart = plan.restart
    told = [f"Cause of the trip found; every trip is latched and reset by hand. Rest {restart.rest / 60:.0f} min "
            "after dry running, so that ceramic bearings cool evenly (common practice, no source).",
            f"Shell at most {figures.text(restart.shell_at_most, q.TEMPERATURE)}: below boiling at the suction "
            f"pressure with the margin of the practice, and at most "
            f"{figures.text(restart.shell_over_suction, q.TEMPERATURE_DIFFERENCE)} over the liquid (common "
            "practice, no source)."]
    if np.isfinite(restart.suction_at_least):
        told.append(f"Suction at least {figures.text(restart.suction_at_least, q.PRESSURE_DIFFERENCE)} above the "
                    "vapour pressure with the pump at rest, which is NPSH3; liquid proven in the pump, shell "
                    "vented.")
    told.append("Rotor free and liquid not solid: turned by hand or by a start that trips on low power.")
    return told


def quantities_seen(plan: Plan, most: int) -> dict[str, str]:
    """Names and titles of measured quantities: those of the smallest set, then those that see most causes in time."""
    counts: dict[str, int] = {}
    for cause in plan.causes:
        if cause.harms:
            for name in {one.setting.instrument.signal.name for one in cause.seen_in_time}:
                counts[name] = counts.get(name, 0) + 1
    chosen = dict.fromkeys([*plan.cover.signals, *sorted(counts, key=lambda name: -counts[name])])
    titles = {one.instrument.signal.name: one.instrument.signal.title for one in plan.settings}
    return {name: titles.get(name, name) for name in list(chosen)[:most]}
