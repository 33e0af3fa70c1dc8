"""The magnetic coupling: does it hold in step, at start too, and do its magnets stay below their limits."""

import numpy as np

from wetpath.circulation import solve
from wetpath.edge.quantities import NUMBER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.edge.tables import ROOM_TEMPERATURE, Magnet
from wetpath.rating.check import Check, check
from wetpath.rating.coupling_state import Array
from wetpath.rating.situation import Situation
from wetpath.words import told


def running_margin(situation: Situation) -> Check:
    """Pull-out torque at hot magnets over running torque."""
    return check("coupling_margin_running", "pull-out torque over running torque", NUMBER,
                 situation.losses.coupling_ratio, situation.practice["coupling_margin_running"], where="magnet rings")


def starting_margin(situation: Situation) -> Check:
    """Pull-out torque over the torque that the coupling passes while the driver runs up.

    Where the coupling is too weak to run as well, that governs: a gentler start would not help.
    """
    start, practice = situation.start, situation.practice
    return check("coupling_margin_starting", "pull-out torque over torque at start", NUMBER, start.ratio,
                 practice["coupling_margin_starting"], by_choice=True,
                 where=told("magnet rings, {starter}", starter=start.starter),
                 follows=bool((situation.losses.coupling_ratio < practice["coupling_margin_running"].value).any()))


def demagnetisation_running(situation: Situation) -> Check:
    """Field against the magnets at the load angle of the case over their coercivity, the worse of both rings."""
    return _demagnetisation(situation, "demagnetisation_running", "field against the magnets over their coercivity",
                            situation.coupling.field_running)


def demagnetisation_slip(situation: Situation) -> Check:
    """The same with equal poles facing each other, as at every pole that slips past."""
    return _demagnetisation(situation, "demagnetisation_slip",
                            "field against the magnets over their coercivity, when they slip",
                            situation.coupling.field_opposing)


def inner_magnets(situation: Situation) -> Check:
    """Temperature of the inner magnets against their limit."""
    return _magnets(situation, "inner", situation.pump.inner_magnet, solve.INNER_RING)


def outer_magnets(situation: Situation) -> Check:
    """Temperature of the outer magnets against their limit."""
    return _magnets(situation, "outer", situation.pump.outer_magnet, solve.OUTER_RING)


def _demagnetisation(situation: Situation, name: str, title: str, shares: tuple[Array, Array]) -> Check:
    worse = np.array(shares)
    where = tuple(("inner ring", "outer ring")[ring] for ring in worse.argmax(axis=0))
    return check(name, title, RATIO, worse.max(axis=0), situation.practice[name], where=where, by_choice=True)


def _magnets(situation: Situation, which: str, magnet: Magnet, column: int) -> Check:
    margin = situation.practice["magnet_temperature_margin"]
    highest = magnet.highest_temperature - margin.value
    origin = magnet.origins["highest_temperature"]
    return check(f"{which}_magnets", told("temperature of the {which} magnets", which=which), TEMPERATURE,
                 situation.scalars[:, column],
                 highest, sense="at most", scale=highest - ROOM_TEMPERATURE, difference_kind=TEMPERATURE_DIFFERENCE,
                 where=told("{which} ring", which=which), source=origin.source, status=origin.status,
                 meaning=told("limit of {magnet} less the margin of the practice", magnet=magnet.name),
                 remedy=margin.remedy)
