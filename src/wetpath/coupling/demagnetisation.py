"""Whether the magnets of a coupling keep their magnetisation when the rings slip past each other."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.errors import LimitError
from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.demagnetisation import field_inside_magnets

Array = NDArray[np.float64]
Numeric = Any

#: Share of the intrinsic coercivity up to which a magnet is taken as safe; common practice, no source.
KNEE = 0.9


@dataclass(frozen=True)
class OpposingField:
    """Field against the magnetisation at points of one magnet of each ring, equal poles facing each other.

    Arrays (ring, point); ring 0 is the inner one. Multiply ``own`` by the remanence of that ring and ``other`` by
    that of the other ring; the sum over mu0 is the demagnetising field [A/m].
    """

    own: Array       # [T/T]
    other: Array     # [T/T]

    def demagnetising(self, inner_remanence: Numeric, outer_remanence: Numeric) -> tuple[Numeric, Numeric]:
        """Largest demagnetising field in the inner and in the outer magnets [A/m]; remanences of any shape [T]."""
        remanence = (np.asarray(inner_remanence)[..., None], np.asarray(outer_remanence)[..., None])
        inner, outer = ((remanence[ring] * self.own[ring] + remanence[1 - ring] * self.other[ring]).max(axis=-1)
                        / VACUUM_PERMEABILITY for ring in (0, 1))
        return inner, outer

    def margins(self, remanence: tuple[Numeric, Numeric],
                coercivity: tuple[Numeric, Numeric]) -> tuple[Numeric, Numeric]:
        """Share of the safe field that is left in both rings [-]; below 0 the loss of torque is irreversible.

        ``remanence`` [T] and intrinsic ``coercivity`` [A/m] of both rings at their temperatures.
        """
        inner, outer = (1 - field / (KNEE * limit)
                        for field, limit in zip(self.demagnetising(*remanence), coercivity, strict=True))
        return inner, outer


def opposing_field(geometry: CouplingGeometry, *, depths: int = 5, places: int = 9,
                   highest: int = 81) -> OpposingField:
    """Compute the field in the magnets of both rings at a load angle of 180 electrical degrees.

    Parameters
    ----------
    geometry : CouplingGeometry
        Iron directly behind the magnets.
    depths, places : int
        Points through and across one magnet, over the middle 90 % of its section.
    highest : int
        Highest odd harmonic; 81 settles the points to a few thousandths of the remanence.

    Notes
    -----
    The field is two-dimensional, as in the middle of long rings; beyond the ends it is weaker. Every pole
    that slips passes this state, so it is met whenever the coupling has let go.
    """
    if geometry.inner_iron_radius is not None or geometry.outer_iron_radius is not None:
        raise LimitError("the field inside the magnets is modelled for magnets that sit directly on iron; leave out "
                         "inner_iron_radius and outer_iron_radius, or check demagnetisation by other means")
    order = geometry.pole_pairs * np.arange(1, highest + 1, 2.0)
    section = geometry.section
    inner, outer = geometry.magnetisation(order)
    rings = (
        (section.inner_back, section.inner_face, geometry.inner_arc, geometry.inner_magnetisation,
         geometry.inner_segments),
        (section.outer_face, section.outer_back, geometry.outer_arc, geometry.outer_magnetisation,
         geometry.outer_segments))
    own, other = [], []
    for ring, (start, end, arc, shape, segments) in enumerate(rings):
        half_arc = arc * np.pi / (2 * geometry.pole_pairs)
        radius, angle = (grid.ravel() for grid in np.meshgrid(
            (start + end) / 2 + (end - start) / 2 * np.linspace(-0.9, 0.9, depths),
            half_arc * np.linspace(-0.9, 0.9, places)))
        lean = np.zeros_like(angle)
        if shape == "parallel":
            pitch = 2 * half_arc / segments
            piece = np.clip(np.floor((angle + half_arc) / pitch), 0, segments - 1)
            lean = angle - (-half_arc + pitch * (piece + 0.5))
        along = field_inside_magnets(ring, order, section, inner, outer, radius, angle, np.pi)
        own.append(along[1] * np.sin(lean) - along[0] * np.cos(lean))
        other.append(along[3] * np.sin(lean) - along[2] * np.cos(lean))
    return OpposingField(np.array(own), np.array(other))
