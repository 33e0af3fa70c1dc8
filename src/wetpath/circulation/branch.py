"""Geometry of one passage of the internal circulation, turned into a row of the solver."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import laws
from wetpath.words import told

#: Loss of a sharp-edged hole on its own velocity: 0.5 entry and 1.0 exit. Common practice.
SHARP_HOLE_LOSS = 1.5
#: Speed of the liquid in the grooves of a thrust face over that of the rotor. Common practice.
GROOVE_CORE = 0.5
#: Velocity at which the entry incidence of a turning hole is fully felt [m/s]; a numerical smoothing.
INCIDENCE_VELOCITY = 2e-3


@dataclass(frozen=True)
class Branch:
    """One branch between two stations, as the solver takes it; SI."""

    name: str
    start: str
    end: str
    law: int
    features: Mapping[int, float]

    def row(self) -> NDArray[np.float64]:
        """The numbers of the branch by `wetpath.circulation.laws` column."""
        row = np.zeros(laws.COLUMNS)
        for column, value in self.features.items():
            row[column] = value
        return row


def hole(name: str, start: str, end: str, *, count: int, diameter: float, length: float, roughness: float = 0.0,
         loss: float = SHARP_HOLE_LOSS) -> Branch:
    """Round holes or pipes side by side, at rest or turning about their own axis."""
    return Branch(name, start, end, laws.PASSAGE, {
        laws.AREA: count * pi * diameter**2 / 4, laws.DIAMETER: diameter, laws.LENGTH: length,
        laws.ROUGHNESS: roughness, laws.LOSS: loss})


def groove(name: str, start: str, end: str, *, count: int, width: float, depth: float, length: float,
           roughness: float = 0.0, loss: float = SHARP_HOLE_LOSS) -> Branch:
    """Rectangular grooves or slots side by side; hydraulic diameter 2 w d/(w + d)."""
    return Branch(name, start, end, laws.PASSAGE, {
        laws.AREA: count * width * depth, laws.DIAMETER: 2 * width * depth / (width + depth), laws.LENGTH: length,
        laws.ROUGHNESS: roughness, laws.LOSS: loss})


def rotating_hole(name: str, start: str, end: str, *, count: int, diameter: float, length: float, radius_from: float,
                  radius_to: float, roughness: float = 0.0, loss: float = SHARP_HOLE_LOSS, incidence: float = 1.0,
                  plenum_swirl: float = 0.0) -> Branch:
    """Radial holes of the rotor: rotation head of a solid body, and incidence where the plenum turns slower."""
    area = count * pi * diameter**2 / 4
    return Branch(name, start, end, laws.PASSAGE, {
        laws.AREA: area, laws.DIAMETER: diameter, laws.LENGTH: length, laws.ROUGHNESS: roughness, laws.LOSS: loss,
        laws.ROTATION_FROM: radius_from, laws.ROTATION_TO: radius_to, laws.CORE: 1.0,
        laws.INCIDENCE: incidence, laws.INCIDENCE_RADIUS: radius_from, laws.PLENUM_SWIRL: plenum_swirl,
        laws.INCIDENCE_FLOW: 1000.0 * area * INCIDENCE_VELOCITY})


def cavity(name: str, start: str, end: str, *, radius_from: float, radius_to: float, gap: float, core_rotation: float,
           disc_outer: float, disc_inner: float = 0.0, loss: float = 0.0) -> Branch:
    """Space between a turning face and a wall: core rotation gives or takes head, the face heats the liquid."""
    mean_radius = 0.5 * (radius_from + radius_to)
    return Branch(name, start, end, laws.PASSAGE, {
        laws.AREA: 2 * pi * mean_radius * gap, laws.DIAMETER: 2 * gap, laws.LENGTH: abs(radius_to - radius_from),
        laws.LOSS: loss,
        laws.ROTATION_FROM: radius_from, laws.ROTATION_TO: radius_to, laws.CORE: core_rotation,
        laws.DISC_OUTER: disc_outer, laws.DISC_INNER: disc_inner, laws.DISC_GAP: gap})


def shell_annulus(name: str, start: str, end: str, *, rotor_radius: float, gap: float, length: float) -> Branch:
    """The gap between inner ring and containment shell; its heat comes cell by cell from the coupling."""
    return Branch(name, start, end, laws.ANNULUS, {
        laws.AREA: pi * ((rotor_radius + gap) ** 2 - rotor_radius**2), laws.LENGTH: length,
        laws.ROTOR_RADIUS: rotor_radius, laws.GAP: gap})


def journal_bearing(name: str, start: str, end: str, *, radius: float, clearance: float, length: float,
                    groove_count: int = 0, groove_width: float = 0.0, groove_depth: float = 0.0,
                    roughness: float = 0.0, groove_loss: float = SHARP_HOLE_LOSS, eccentricity: float = 0.0
                    ) -> tuple[Branch, ...]:
    """A plain bearing as a passage: film and axial grooves side by side between the same stations.

    The friction heat goes to the grooves where there are any; both streams mix at the end station.
    """
    journal = {laws.JOURNAL_RADIUS: radius, laws.JOURNAL_CLEARANCE: clearance, laws.LENGTH: length,
               laws.ECCENTRICITY: eccentricity}
    friction = {laws.JOURNAL_RADIUS: radius, laws.JOURNAL_CLEARANCE: clearance, laws.JOURNAL_LENGTH: length}
    if not groove_count:
        return (Branch(told("{name} film", name=name), start, end, laws.FILM, {**journal, **friction}),)
    grooves = groove(told("{name} grooves", name=name), start, end, count=groove_count, width=groove_width,
                     depth=groove_depth, length=length, roughness=roughness, loss=groove_loss)
    return (Branch(told("{name} film", name=name), start, end, laws.FILM, journal),
            Branch(grooves.name, start, end, laws.PASSAGE, {**grooves.features, **friction}))


def thrust_face(name: str, start: str, end: str, *, inner_radius: float, outer_radius: float, groove_count: int,
                groove_width: float, groove_depth: float, film: float, land_share: float, roughness: float = 0.0,
                groove_loss: float = SHARP_HOLE_LOSS, outward: bool = True) -> Branch:
    """Radial grooves across a thrust face: half-speed rotation head, land friction heats the liquid."""
    grooves = groove(name, start, end, count=groove_count, width=groove_width, depth=groove_depth,
                     length=outer_radius - inner_radius, roughness=roughness, loss=groove_loss)
    first, last = (inner_radius, outer_radius) if outward else (outer_radius, inner_radius)
    return Branch(name, start, end, laws.PASSAGE, {
        **grooves.features, laws.ROTATION_FROM: first, laws.ROTATION_TO: last, laws.CORE: GROOVE_CORE,
        laws.LAND_INNER: inner_radius, laws.LAND_OUTER: outer_radius, laws.LAND_FILM: film,
        laws.LAND_SHARE: land_share})


def with_cooler(branch: Branch, *, conductance: float, coolant_capacity: float, coolant_temperature: float) -> Branch:
    """The same branch with a counterflow cooler of conductance UA [W/K] and coolant capacity rate [W/K]."""
    return Branch(branch.name, branch.start, branch.end, branch.law, {
        **branch.features, laws.COOLER_CONDUCTANCE: conductance, laws.COOLANT_CAPACITY: coolant_capacity,
        laws.COOLANT_TEMPERATURE: coolant_temperature})


def with_auxiliary_impeller(branch: Branch, *, head_coefficient: float, tip_radius: float) -> Branch:
    """The same branch driven by an auxiliary impeller, :math:`\\Delta p = \\psi\\rho(\\omega r)^2/2`."""
    return Branch(branch.name, branch.start, branch.end, branch.law, {
        **branch.features, laws.AUXILIARY_HEAD: head_coefficient, laws.AUXILIARY_RADIUS: tip_radius})
