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
from wetpath.words import joined, told


def answer_of_upset(found: Followed) -> tuple[Standing, str]:
    """The answer of an upset: when damage begins, and who sees it first."""
    cause = found.cause
    first = cause.seen_in_time[0] if cause.seen_in_time else None
    if not cause.harms:
        words, standing = told("No damage within {time}", time=seconds(found.duration)), Standing.HOLDS
    elif not np.isfinite(cause.damage.low):
        words = told("Liquid is lost after {after}, no damage within {time}", after=band(cause.lost, cause.begins),
                     time=seconds(found.duration))
        standing = Standing.TIGHT
    else:
        words = told("Damage {after} after the cause: {damage}", after=band(cause.damage, cause.begins),
                     damage=cause.damage_text)
        standing = Standing.SHORT
    if cause.harms and first is not None:
        words = told("{answer}; {instrument} acts after {time}", answer=words,
                     instrument=first.setting.instrument.title, time=seconds(first.acts - cause.begins))
        standing = Standing.HOLDS
    elif cause.harms:
        words = told("{answer}; no instrument acts in time", answer=words)
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
    return told("{nominal} ({low} to {high})", low=seconds(times.low - since),
                nominal=seconds(times.nominal - since) if times.happens else "never",
                high=seconds(times.high - since) if np.isfinite(times.high) else "never")


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
    return told("{nominal} ({low} to {high})", nominal=seconds(reading.in_hand), low=low, high=high)


def sign_of(reading: Reading) -> Standing:
    """Sign of a reading."""
    if reading.in_time:
        return Standing.HOLDS
    return Standing.SHORT if reading.seen else Standing.UNKNOWN


def answer_of_plan(plan: Plan) -> tuple[Standing, str]:
    """The answer of a plan: whether every cause that does harm is seen in time."""
    harmful = [one for one in plan.causes if one.harms]
    if not harmful:
        return Standing.HOLDS, told("No cause looked at does harm within {time}",
                                    time=seconds(plan.duration))
    if not plan.cover.uncovered:
        number = len(plan.cover.signals)
        return Standing.HOLDS, told(
            "{number} instrument sees all {causes} causes that do harm, in time" if number == 1 else
            "{number} instruments see all {causes} causes that do harm, in time", number=number, causes=len(harmful))
    return Standing.SHORT, told("{uncovered} of {causes} causes that do harm are seen by no instrument in time: "
                                "{names}", uncovered=len(plan.cover.uncovered), causes=len(harmful),
                                names=joined(", ", plan.cover.uncovered))


def way_out(plan: Plan, cause: Cause) -> str:
    """What can be done about a cause that no instrument sees in time."""
    first = cause.first
    acts = "no instrument acts." if first is None else told(
        "{instrument} acts first, {time} after the cause, {hand} in hand before {damage}.",
        instrument=first.setting.instrument.title, time=seconds(first.acts - cause.begins), hand=in_hand(first),
        damage=cause.damage_text or "harm")
    if "restart" in cause.kind:
        return told("{acts} The restart permissive has to rule it out.", acts=acts)
    if cause.at_start:
        return told("{acts} No trip is quick enough at a start: a permissive has to prove the liquid, and that the "
                    "rotor is free, before the driver starts.", acts=acts)
    level = next((one for one in plan.settings if one.instrument.name == "low_level"), None)
    vessel = ""
    if level is not None and "suction lost" in cause.kind:
        vessel = (" Where the vessel runs empty a level trip acts before: see the cause vessel emptied."
                  if level.usable else
                  " Give [cases.vessel], so that a level trip, which acts before the liquid is gone, can be judged.")
    return told("{acts} Take a shell with less loss, an earlier primary instrument, or rule the cause out.{vessel}",
                acts=acts, vessel=vessel)


def why_no_resolution(one: Setting, met: Met, figures: Figures) -> str:
    """Why no set point meets a level."""
    kind = one.instrument.signal.kind
    edge = value_text(figures, one.normal_to if one.instrument.sense == "high" else one.normal_from, kind)
    place = told("{demand} at {level} (case {case})", demand=met.text, level=value_text(figures, met.level, kind),
                 case=met.case)
    if met.resolution <= 0:
        return told("{place} lies inside normal operation, which goes to {edge}.", place=place, edge=edge)
    between = figures.text(met.apart, one.instrument.signal.difference)
    needed = figures.text(met.needed, one.instrument.signal.difference)
    return told("{place} is {between} away from normal operation ({edge}); error and noise need {needed}.",
                place=place, between=between, edge=edge, needed=needed)


def restart_in_words(plan: Plan, figures: Figures) -> list[str]:
    """When the pump may be started again."""
    restart = plan.restart
    found = [told("Cause of the trip found; every trip is latched and reset by hand. Rest {minutes:.0f} min after dry "
                  "running, so that ceramic bearings cool evenly (common practice, no source).",
                  minutes=restart.rest / 60),
            told("Shell at most {temperature}: below boiling at the suction pressure with the margin of the practice, "
                 "and at most {over} over the liquid (common practice, no source).",
                 temperature=figures.text(restart.shell_at_most, q.TEMPERATURE),
                 over=figures.text(restart.shell_over_suction, q.TEMPERATURE_DIFFERENCE))]
    if np.isfinite(restart.suction_at_least):
        found.append(told("Suction at least {pressure} above the vapour pressure with the pump at rest, which is "
                          "NPSH3; liquid proven in the pump, shell vented.",
                          pressure=figures.text(restart.suction_at_least, q.PRESSURE_DIFFERENCE)))
    found.append("Rotor free and liquid not solid: turned by hand or by a start that trips on low power.")
    return found


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
