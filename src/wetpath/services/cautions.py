"""The cautions that go with a rating: what it does not promise, and where the work can hurt someone."""

from __future__ import annotations

import numpy as np

from wetpath.circulation import solve
from wetpath.edge.quantities import TEMPERATURE
from wetpath.edge.units import METRIC, UnitSet, express
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.rating.rate import Rating
from wetpath.words import joined, told

#: A bare surface above this burns who touches it [K]. Common practice, no source.
HOT_SURFACE = ZERO_CELSIUS + 60.0


def cautions_of(rating: Rating, units: UnitSet = METRIC) -> tuple[str, ...]:
    """Cautions of one rating, in sentences, the general one first."""
    found = ["An aid for a competent engineer, who answers for the selection, and no certificate. Local law and codes, "
             "the hazard review of the plant, the maker's instructions and licensed practice come first, above all for "
             "pressure, ignition and electricity.",
             "Every result holds for the liquid data, operating cases and curves entered. Values marked common "
             "practice or recalled are to be confirmed.",
             "Rated are steady conditions with clean liquid and a pump in good order, not dry running, gas, solids, "
             "blocked holes or a way from one case to another.",
             "Magnet rings attract strongly, also at rest: they crush fingers and draw tools. Keep people with "
             "pacemakers or other implants away; use jacking tools.",
             "The pump is under pressure until it is isolated, drained and vented.",
             "Seal-less is not leak-proof: gaskets, drains and the containment shell can fail. Plan how a leak is "
             "seen, shut in and met.",
             "Never run it dry, with closed valves, out of step or below its least flow. After a trip find the cause, "
             "and let it cool before liquid comes in.",
             "The shell and the inner ring hold liquid after draining: clean the pump before it is opened. Liquid shut "
             "in between closed valves expands when it warms: see that it is relieved.",
             "The circulation is computed along its path from the drawing; its flow is the largest doubt in the vapour "
             "margins: ask the maker for a measured profile.",
             "Whether the liquid is toxic or corrosive is not judged here. If it is, leak detection, shut-off, a "
             "second containment and the emergency plan are part of the selection."]
    site = rating.enquiry.site
    if site.zone or site.temperature_class != "none":
        area = joined(", ", (part for part in (site.zone, site.temperature_class.replace("none", "")) if part))
        found.append(told("Explosive atmosphere ({area}): the protection of pump and motor against ignition is "
                          "assessed by its own standards, not here. The temperature class rests on liquid temperature, "
                          "duty and working trips: keep the pump filled and earthed, and bypass no trip.", area=area))
    liquids = rating.situation.liquids
    if site.zone or any(one.limits.autoignition is not None for one in liquids):
        found.append("Flammable liquid: vapour that enters the space outside the shell after a breach meets turning "
                     "parts.")
    for one in liquids:
        for what, limit in (("polymerises", one.limits.polymerisation), ("decomposes", one.limits.decomposition)):
            if limit is not None:
                found.append(told("{liquid} {happens} from {temperature}: it can block passages and build pressure "
                                  "where it is shut in.", liquid=one.name, happens=what,
                                  temperature=express(limit, TEMPERATURE, units=units)))
    hottest = float(np.nanmax(rating.situation.scalars[:, solve.HOTTEST_WALL]))
    if hottest > HOT_SURFACE:
        found.append(told("Hot surfaces: the containment shell reaches {temperature}.",
                          temperature=express(hottest, TEMPERATURE, units=units)))
    return tuple(found)
