"""Loads and rating life of the rolling bearings of the drive shaft."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.external_bearings import ExternalBearings, RollingBearing
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
    bearings, ring = situation.pump.external_bearings, situation.pump.outer_ring
    if bearings is None:
        return None
    span = bearings.spacing
    at_ring, at_coupling = -bearings.overhang, span + bearings.coupling_overhang
    weights = [bearing_reactions(STANDARD_GRAVITY * ring.mass_or_estimate, at_ring, 0.0, span),
               bearing_reactions(STANDARD_GRAVITY * bearings.coupling_mass, at_coupling, 0.0, span)]
    pull = bearing_reactions(situation.bearings.magnet_pull, at_ring, 0.0, span)
    coupling = bearing_reactions(bearings.coupling_force, at_coupling, 0.0, span)
    radial = np.stack([abs(sum(weight[place] for weight in weights)) + np.abs(pull[place]) + abs(coupling[place])
                       for place in (0, 1)], axis=1)
    along = np.abs(situation.thrust.new.magnetic) + bearings.axial_force
    locating = np.array([bearings.locating == "front", bearings.locating == "rear"])
    axial = along[:, None] * locating
    load, life = _life(bearings, radial, axial, situation.solved.inputs.speed)
    ratings = np.array([_rating(one) for one in (bearings.front, bearings.rear)])
    return ExternalBearingState(
        radial, axial, load, life,
        (limit("an external bearing carries more than half of its dynamic rating, the limit of ISO 281",
               (load > HIGHEST_LOAD_SHARE * ratings).any(axis=1)),))


def _rating(bearing: RollingBearing) -> float:
    return float(rating_of_rows(bearing.dynamic_rating, bearing.count,
                                ROW_EXPONENTS[bearing.kind == "cylindrical roller"]))


def _life(bearings: ExternalBearings, radial: Array, axial: Array, speed: Array) -> tuple[Array, Array]:
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
            lives.append(rating_life(_rating(bearing), load, speed, exponent))
    return np.stack(loads, axis=1), np.stack(lives, axis=1)
