"""Remedies in the circulation: larger or fewer holes, another place to return to, liquid from outside."""

from __future__ import annotations

import numpy as np

from wetpath.edge.quantities import LENGTH, PRESSURE, TEMPERATURE
from wetpath.machine import branches as listed
from wetpath.questions.remedies.remedy import Change, Data, NotOffered, Practicality, Remedy, setting
from wetpath.rating.rate import Rating
from wetpath.words import told

#: Diameters of holes that are tried, over the present one.
WIDER = (1.1, 1.25, 1.5)
#: Holes are drilled to this [m].
DRILL_STEP = 1e-4
#: A tap behind the impeller is moved outward by these shares of the way to the outlet.
OUTWARD = (0.25, 0.5)
#: A pressurised return behind the impeller ends this far outside the rear ring, over its radius.
BEHIND_RING = 1.1
#: A flush stands this much above the highest pressure where it enters [Pa], and is as warm as the air or warmer by [K].
FLUSH_ABOVE, FLUSH_WARMER = 1e5, 5.0
DRILLED = "drilled wider at an overhaul"


def passages(rating: Rating) -> list[Remedy | NotOffered]:
    """All remedies in the circulation."""
    return [*_wider(rating), *_fewer_returns(rating), *_return_place(rating), *_flush(rating)]


def _has(rating: Rating, kind: type[listed.Passage]) -> bool:
    return any(isinstance(entry, kind) for entry in rating.pump.branches)


def _wider(rating: Rating) -> list[Remedy | NotOffered]:
    holder, shaft = rating.pump.bush_holder, rating.pump.shaft
    found: list[Remedy | NotOffered] = []
    for title, kind, table, field, now in (
            ("feed holes", listed.FeedHoles, "bush_holder", "feed_diameter", holder.feed_diameter),
            ("return holes", listed.ReturnHoles, "bush_holder", "return_diameter", holder.return_diameter),
            ("shaft holes", listed.ShaftHolesPassage, "shaft", "holes", shaft.holes.diameter),
            ("shaft bore", listed.ShaftBore, "shaft", "bore", shaft.bore)):
        if not _has(rating, kind):
            found.append(NotOffered(f"larger {title}", "the circulation does not pass any"))
            continue
        for share in WIDER:
            wide = max(round(now * share / DRILL_STEP), round(now / DRILL_STEP) + 1) * DRILL_STEP
            value = {**shaft.holes.model_dump(), "diameter": wide} if field == "holes" else wide
            found.append(Remedy(f"larger {title}", told(
                "{passage} {diameter} in place of {now}", passage=title, diameter="{0}", now="{1}"),
                                ((wide, LENGTH), (now, LENGTH)),
                                Practicality.SPARE_PART, DRILLED, setting(table, {field: value})))
    return found


def _fewer_returns(rating: Rating) -> list[Remedy | NotOffered]:
    count = rating.pump.bush_holder.return_count
    if not _has(rating, listed.ReturnHoles):
        return []
    if count == 1:
        return [NotOffered("fewer return holes", "there is one only")]
    return [Remedy("fewer return holes", told(
        "{fewer} return holes in place of {count}", fewer=fewer, count=count), (), Practicality.SPARE_PART,
                   "the others plugged; less flow, more pressure inside",
                   setting("bush_holder", {"return_count": fewer}))
            for fewer in range(count - 1, max(count - 4, 0), -1)]


def _return_place(rating: Rating) -> list[Remedy | NotOffered]:
    pump = rating.pump
    behind = [tap for tap in pump.taps if isinstance(tap, listed.ImpellerTap)]
    to_suction = any(isinstance(tap, listed.SuctionTap) for tap in pump.taps)
    outlet = pump.impeller.diameter / 2
    found: list[Remedy | NotOffered] = []
    if to_suction:
        radius = min(BEHIND_RING * pump.impeller.rear_ring_diameter / 2, 0.95 * outlet)
        found.append(Remedy(
            "return behind the impeller", told(
                "circulation returned behind the impeller, at radius {radius}, not to the suction", radius="{0}"),
            ((radius, LENGTH),), Practicality.OTHER_MACHINE, "hub holes closed, another bush holder",
            _taps("suction", {"at": "behind impeller", "radius": radius})))
    if not behind:
        return found
    found.append(Remedy(
        "return to the suction", "circulation returned to the suction, not behind the impeller", (),
        Practicality.SPARE_PART, "holes through the impeller hub", _taps("behind impeller", {"at": "suction"})))
    for share in OUTWARD:
        radius = max(tap.radius for tap in behind)
        farther = radius + share * (outlet - radius)
        found.append(Remedy(
            "return farther out", told(
                "circulation returned at radius {radius}, not {now}, where the pressure is higher", radius="{0}",
                now="{1}"),
            ((farther, LENGTH), (radius, LENGTH)), Practicality.OTHER_MACHINE, "another bush holder",
            _taps("behind impeller", {"radius": farther})))
    return found


def _taps(at: str, values: dict[str, object]) -> Change:
    def change(data: Data) -> None:
        keeps = ("station",) if "at" in values else tuple(listed.ImpellerTap.model_fields)
        data["taps"] = [{**{name: tap[name] for name in keeps}, **values} if tap["at"] == at else tap
                        for tap in data["taps"]]

    return change


def _flush(rating: Rating) -> list[Remedy | NotOffered]:
    text = "flush from outside into the feed"
    if any(isinstance(tap, listed.OutsideTap) for tap in rating.pump.taps):
        return [NotOffered(text, "the pump has a supply from outside already")]
    feed = next((tap for tap in rating.pump.taps if isinstance(tap, listed.DischargeTap)), None)
    if feed is None or not any(entry.start == feed.station for entry in rating.pump.branches):
        return [NotOffered(text, "the circulation is not fed from the discharge side")]
    if any(case.liquid for case in rating.enquiry.cases):
        return [NotOffered(text, "the cases have different liquids, and a flush is of the liquid pumped")]
    place = rating.pump.network.stations.index(feed.station)
    fed = float(np.max(rating.situation.solution.states.pressure[:, place])) + FLUSH_ABOVE
    pressure = np.ceil(fed / 5e4) * 5e4
    temperature = max(rating.enquiry.site.air_highest + FLUSH_WARMER, rating.liquid.temperature_range[0])
    if temperature >= rating.inputs.temperature.max():
        return [NotOffered(text, "a flush as warm as the hottest air is not colder than the liquid")]

    def change(data: Data) -> None:
        data["taps"] = [{"station": feed.station, "at": "outside", "pressure": pressure, "temperature": temperature}
                        if tap["at"] == "discharge side" and tap["station"] == feed.station else tap
                        for tap in data["taps"]]

    return [Remedy("flush", told(
        "{flush}, {pressure} and {temperature}", flush=text, pressure="{0}", temperature="{1}"),
                   ((pressure, PRESSURE), (temperature, TEMPERATURE)),
                   Practicality.SITE_WORK,
                   "needs a supply of the clean liquid pumped, there before the pump runs", change)]
