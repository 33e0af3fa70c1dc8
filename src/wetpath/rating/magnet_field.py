"""The field against the magnets of both rings at any load angle, and what share of their coercivity it takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.demagnetisation import at_temperature, field_inside_magnets
from wetpath.physics.published import compiled
from wetpath.rating.machine_arrays import coupling_geometry, remanences
from wetpath.rating.per_pump import once_per_pump

Array = NDArray[np.float64]

#: Electrical load angles [deg] of the table: running, then equal poles facing each other as when the rings slip.
ANGLES = (0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0, 105.0, 120.0, 150.0, 180.0)
#: Points through and across one magnet, over the middle 90 % of its section, and the highest odd harmonic.
DEPTHS, PLACES, HIGHEST = 5, 9, 81
OPPOSING = np.pi


@dataclass(frozen=True, eq=False)
class MagnetField:
    """Field against the magnetisation per tesla of each ring, at points of one magnet of each ring [T/T]."""

    angles: Array      # (angle,) [electrical rad]
    own: Array         # (ring, point)
    other: Array       # (ring, angle, point)

    def demagnetising(self, angle: ArrayLike, remanence: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
        """Largest demagnetising field in inner and outer magnets [A/m]; load angle [rad], remanences [T], any shape."""
        turned, inner, outer = np.broadcast_arrays(np.asarray(angle, float), *remanence)
        found = _largest_fields(self.angles, self.own, self.other, *(
            one.astype(float).ravel() for one in (turned, inner, outer)))
        return found[0].reshape(turned.shape), found[1].reshape(turned.shape)


@compiled
def _largest_fields(angles: Array, own: Array, table: Array, turned: Array, inner: Array, outer: Array) -> Array:
    """Largest demagnetising field in both rings [A/m], straight between the angles of the table; (2, states)."""
    found = np.empty((2, turned.size))
    for state in range(turned.size):
        place = min(max(np.searchsorted(angles, turned[state]) - 1, 0), angles.size - 2)
        share = (turned[state] - angles[place]) / (angles[place + 1] - angles[place])
        for ring in range(2):
            self_made, other_made = (inner[state], outer[state]) if ring == 0 else (outer[state], inner[state])
            largest = -np.inf
            for point in range(own.shape[1]):
                other = table[ring, place, point] * (1 - share) + table[ring, place + 1, point] * share
                largest = np.maximum(largest, self_made * own[ring, point] + other_made * other)
            found[ring, state] = largest / VACUUM_PERMEABILITY
    return found


@lru_cache(maxsize=512)
def magnet_field(geometry: CouplingGeometry) -> MagnetField:
    """Tabulate the field in the magnets of both rings over the load angle.

    Notes
    -----
    Two-dimensional, as in the middle of long rings; beyond the ends it is weaker. Magnets sit directly on iron.
    """
    order = geometry.pole_pairs * np.arange(1, HIGHEST + 1, 2.0)
    section = geometry.section
    inner, outer = geometry.magnetisation(order)
    rings = ((section.inner_back, section.inner_face, geometry.inner_arc, geometry.inner_magnetisation,
              geometry.inner_segments),
             (section.outer_face, section.outer_back, geometry.outer_arc, geometry.outer_magnetisation,
              geometry.outer_segments))
    angles = np.radians(ANGLES)
    own, other = [], []
    for ring, (start, end, arc, shape, segments) in enumerate(rings):
        half_arc = arc * np.pi / (2 * geometry.pole_pairs)
        radius, place = (grid.ravel() for grid in np.meshgrid(
            (start + end) / 2 + (end - start) / 2 * np.linspace(-0.9, 0.9, DEPTHS),
            half_arc * np.linspace(-0.9, 0.9, PLACES)))
        lean = _lean(place, half_arc, segments) if shape == "parallel" else np.zeros_like(place)
        parts = [field_inside_magnets(ring, order, section, inner, outer, radius, place, float(angle))
                 for angle in angles]
        own.append(parts[0][1] * np.sin(lean) - parts[0][0] * np.cos(lean))
        other.append([part[3] * np.sin(lean) - part[2] * np.cos(lean) for part in parts])
    return MagnetField(angles, np.array(own), np.array(other))


def _lean(place: Array, half_arc: float, segments: int) -> Array:
    """Angle from the direction in which the piece at a place is magnetised to the radius there."""
    pitch = 2 * half_arc / segments
    piece = np.clip(np.floor((place + half_arc) / pitch), 0, segments - 1)
    lean: Array = place - (-half_arc + pitch * (piece + 0.5))
    return lean


@once_per_pump
def _own_field(pump: PumpFile) -> MagnetField:
    return magnet_field(coupling_geometry(pump))


def coercivities(pump: PumpFile, temperatures: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """Intrinsic coercivity of inner and outer magnets at their temperatures [A/m]."""
    found = []
    for ring, row, temperature in zip((pump.inner_ring, pump.outer_ring), (pump.inner_magnet, pump.outer_magnet),
                                      temperatures, strict=True):
        slope = row.coercivity_coefficient if ring.coercivity_coefficient is None else ring.coercivity_coefficient
        found.append(np.asarray(at_temperature(ring.coercivity or row.coercivity, slope,
                                               np.asarray(temperature, float))))
    return found[0], found[1]


def hot_remanences(pump: PumpFile, temperatures: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """Reversible remanence of inner and outer magnets at their temperatures [T]."""
    inner, outer = (np.asarray(at_temperature(value, row.remanence_coefficient, np.asarray(temperature, float)))
                    for value, row, temperature in zip(remanences(pump), (pump.inner_magnet, pump.outer_magnet),
                                                       temperatures, strict=True))
    return inner, outer


def field_shares(pump: PumpFile, angle: ArrayLike, temperatures: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """Demagnetising field over intrinsic coercivity, inner and outer magnets; infinite where no coercivity is left."""
    field = _own_field(pump).demagnetising(angle, hot_remanences(pump, temperatures))
    limits = coercivities(pump, temperatures)
    inner, outer = (np.where(left > 0, against / np.where(left > 0, left, 1.0), np.inf)
                    for against, left in zip(field, limits, strict=True))
    return inner, outer
