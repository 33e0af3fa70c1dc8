"""Loads and rating life of the rolling bearings of the drive shaft."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.external_bearings import ExternalBearings
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.film.bearing_reactions import bearing_reactions
from wetpath.physics.film.rolling_bearing_life import (
    BALL_EXPONENT,
    ROLLER_EXPONENT,
    ROW_EXPONENTS,
    angular_contact_equivalent_load,
    deep_groove_equivalent_load,
    rating_life,
    rating_of_rows,
)
from wetpath.physics.validity import Limit, limit
from wetpath.rating.per_pump import once_per_pump

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: ISO 281 holds up to this share of the dynamic rating.
HIGHEST_LOAD_SHARE = 0.5


@dataclass(frozen=True, eq=False)
class ExternalBearingState:
    """Both bearing places over a batch, SI; arrays (cases, 2), front and rear."""

    radial: Array
    axial: Array
    equivalent_load: Array
    life: Array              # L10h [s]
    limits: tuple[Limit, ...]

    @property
    def least_life(self) -> Array:
        """Life of the place that ends first [s]."""
        return self.life.min(axis=1)

    @property
    def where(self) -> tuple[str, ...]:
        """The place that ends first."""
        return tuple(("front external bearing", "rear external bearing")[place] for place in self.life.argmin(axis=1))


def external_bearing_state(situation: Situation) -> ExternalBearingState | None:
    """Loads and life in every case; None without the bearings in the pump file.

    Radial: weight of outer ring and coupling half, side pull of the magnets, coupling or belt force, each in its
    worst direction. Axial: the pull of rings that are offset, and what the pump file gives.
    These loads are small beside the ratings: a life of millions of hours says that fatigue does not end these
    bearings, but grease and dirt.
    """
    bearings = situation.pump.external_bearings
    if bearings is None:
        return None
    still, of_pull = _levers(situation.pump)
    radial = still + np.abs(situation.bearings.magnet_pull[:, None] * of_pull)
    along = np.abs(situation.thrust.new.magnetic) + bearings.axial_force
    locating = np.array([bearings.locating == "front", bearings.locating == "rear"])
    axial = along[:, None] * locating
    ratings = _ratings(situation.pump)
    load, life = _life(bearings, ratings, radial, axial, situation.solved.inputs.speed)
    return ExternalBearingState(
        radial, axial, load, life,
        (limit("an external bearing carries more than half of its dynamic rating, the limit of ISO 281",
               (load > HIGHEST_LOAD_SHARE * ratings).any(axis=1)),))


@once_per_pump
def _levers(pump: PumpFile) -> tuple[Array, Array]:
    """Radial load of both places by weight and coupling [N], and what a side pull of 1 N adds; (2,)."""
    bearings, ring = pump.external_bearings, pump.outer_ring
    assert bearings is not None
    span = bearings.spacing
    at_ring, at_coupling = -bearings.overhang, span + bearings.coupling_overhang

    def carried(force: float, position: float) -> Array:
        return np.array(bearing_reactions(force, position, 0.0, span))

    weights = (carried(STANDARD_GRAVITY * ring.mass_or_estimate, at_ring)
               + carried(STANDARD_GRAVITY * bearings.coupling_mass, at_coupling))
    return np.abs(weights) + np.abs(carried(bearings.coupling_force, at_coupling)), carried(1.0, at_ring)


@once_per_pump
def _ratings(pump: PumpFile) -> Array:
    """Dynamic rating of all rows of both places [N], (2,)."""
    assert pump.external_bearings is not None
    return np.array([float(rating_of_rows(one.dynamic_rating, one.count,
                                          ROW_EXPONENTS[one.kind == "cylindrical roller"]))
                     for one in (pump.external_bearings.front, pump.external_bearings.rear)])


def _life(bearings: ExternalBearings, ratings: Array, radial: Array, axial: Array, speed: Array
          ) -> tuple[Array, Array]:
    loads, lives = [], []
    for place, bearing in enumerate((bearings.front, bearings.rear)):
        if bearing.kind == "deep-groove ball":
            load = deep_groove_equivalent_load(radial[:, place], axial[:, place],
                                               bearing.static_rating * bearing.count, bearing.geometry_factor)
        elif bearing.kind == "angular contact ball":
            load = angular_contact_equivalent_load(radial[:, place], axial[:, place])
        else:
            load = radial[:, place]
        exponent = ROLLER_EXPONENT if bearing.kind == "cylindrical roller" else BALL_EXPONENT
        loads.append(load)
        with np.errstate(divide="ignore"):
            lives.append(rating_life(ratings[place], load, speed, exponent))
    return np.stack(loads, axis=1), np.stack(lives, axis=1)
