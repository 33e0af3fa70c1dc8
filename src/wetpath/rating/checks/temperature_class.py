"""Hottest surfaces against the temperature class of the area and the autoignition temperature of the liquid."""

import numpy as np

from wetpath.edge.quantities import TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.edge.units import express
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.heat.temperature_class import class_limit
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation
from wetpath.rating.surface_state import HOT_CLASSES, class_limit_asked
from wetpath.words import told

#: Scale of a surface temperature limit: its distance from an ordinary room [K].
ROOM = ZERO_CELSIUS + 20.0


def normal(situation: Situation) -> Check:
    """Hottest surface in normal operation against the class asked, less the margin of the practice."""
    surface, highest = situation.surfaces.normal, class_limit_asked(situation)
    return _class_check(situation, "temperature_class_normal", "hottest surface in normal operation",
                        surface.temperature, highest, ~np.isnan(highest), surface.where,
                        "a cooler liquid, less heat in the shell, or another temperature class")


def malfunction(situation: Situation) -> Check:
    """Hottest surface in the malfunctions that no trip of the enquiry guards; level Gc asks for none."""
    site, state = situation.demands.site, situation.surfaces
    highest = class_limit_asked(situation)
    unguarded = state.unguarded
    hottest, where = state.hottest(unguarded, situation.count)
    asked = not np.isnan(highest) and site.protection_level != "Gc" and bool(unguarded)
    return _class_check(situation, "temperature_class_malfunction", "hottest surface in malfunctions without a trip",
                        hottest, highest, asked, where,
                        "name in [protection] the trips that stop the pump in time, or ask for level Gc where the zone "
                        "allows it")


def autoignition(situation: Situation) -> Check:
    """Hottest surface in normal operation against the autoignition temperature of the liquid."""
    practice, site = situation.practice, situation.demands.site
    ignition = situation.per_liquid(lambda liquid, chosen: np.full(
        chosen.size, np.nan if liquid.limits.autoignition is None else liquid.limits.autoignition))
    strict = site.temperature_class != "none" and site.protection_level == "Ga"
    limit = practice["autoignition_share" if strict else "autoignition_margin"]
    highest = (ZERO_CELSIUS + limit.value * (ignition - ZERO_CELSIUS)) if strict else ignition - limit.value
    surface = situation.surfaces.normal
    return check("autoignition", "hottest surface, where a leak would ignite by itself", TEMPERATURE,
                 surface.temperature, highest, sense="at most", scale=np.maximum(highest - ROOM, 1.0),
                 applies=~np.isnan(ignition), difference_kind=TEMPERATURE_DIFFERENCE, where=surface.where,
                 source=limit.source, status=limit.status, meaning=limit.meaning, remedy=limit.remedy)


def _class_check(situation: Situation, name: str, title: str, actual: object, highest: float, asked: object,
                 where: tuple[str, ...], remedy: str) -> Check:
    site = situation.demands.site
    limit = situation.practice["temperature_class_margin_hot" if site.temperature_class in HOT_CLASSES
                               else "temperature_class_margin"]
    end = ""
    if site.temperature_class != "none":
        ends = class_limit(site.temperature_class, with_margin=False)
        end = told("; {temperature_class} ends at {ends}", temperature_class=site.temperature_class,
                   ends=express(ends, TEMPERATURE))
    return check(name, title, TEMPERATURE, np.asarray(actual, float), highest, sense="at most",
                 scale=max(highest - ROOM, 1.0), applies=np.broadcast_to(np.asarray(asked, bool), situation.count),
                 difference_kind=TEMPERATURE_DIFFERENCE, where=where, source=limit.source, status=limit.status,
                 meaning=told("limit of the temperature class less the margin of the practice{end}; help for "
                              "whoever is responsible for explosion protection, not a certificate", end=end),
                 remedy=remedy)
