"""The candidates of a selection: pump files changed in speed, trim, coupling length and shell material."""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray
from pydantic import ValidationError

from wetpath.edge.part import Part
from wetpath.edge.tables import shell_material
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.electrical.site_power import synchronous_speed
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.operating_point import operating_point
from wetpath.rating.pump_model import Inputs

Array = NDArray[np.float64]
AnyPart = TypeVar("AnyPart", bound=Part)

#: Lengths of magnets over that of the pump file.
LENGTHS = (1.0, 0.75, 1.25)
#: Diameters over the smallest that gives the head asked.
TRIMS = (1.0, 1.02, 1.04)
#: Speeds over the range of an inverter.
SPEEDS = 5
#: Impellers are turned to whole steps of this [m]. Common practice.
TRIM_STEP = 1e-3


@dataclass(frozen=True)
class Choices:
    """What may be changed of every pump file of a catalogue.

    Shell materials are tried where they conduct as the wall of the pump file does: an insulating wall is thicker than
    one of metal, and the pump file gives one wall only.
    """

    materials: tuple[str, ...] = ()
    lengths: tuple[float, ...] = LENGTHS
    trims: tuple[float, ...] = TRIMS
    speeds: int = SPEEDS


@dataclass(frozen=True)
class CatalogueEntry:
    """One pump file of a catalogue, and what it is called there."""

    name: str
    pump: PumpFile

    def at_frequency(self, frequency: int) -> PumpFile:
        """The pump with its motor on a supply of this frequency, with the same slip; one on an inverter stays."""
        if self.pump.driver.inverter is not None or self._own_frequency == frequency:
            return self.pump
        return self._on_other_supply

    @cached_property
    def _own_frequency(self) -> int:
        driver = self.pump.driver
        return min((50, 60), key=lambda one: abs(driver.speed - float(synchronous_speed(one, driver.poles))))

    @cached_property
    def _on_other_supply(self) -> PumpFile:
        driver, own = self.pump.driver, self._own_frequency
        return changed(self.pump, driver=changed(driver, speed=driver.speed * (110 - own) / own))


@dataclass(frozen=True, eq=False)
class Build:
    """A pump file with another shell, coupling length or motor speed, its impeller as drawn."""

    entry: CatalogueEntry
    material: str          # of the shell
    length: float          # of the magnets, over that of the pump file
    frequency: int         # of the supply of the motor [Hz]

    @cached_property
    def pump(self) -> PumpFile:
        """The pump file of this build."""
        return _built(self.entry.at_frequency(self.frequency), self.material, self.length)


@dataclass(frozen=True, eq=False)
class Candidate:
    """A build with one trim and speed."""

    build: Build
    diameter: float        # of the impeller [m]
    speed: float           # of cases that give none of their own [rad/s]

    @cached_property
    def pump(self) -> PumpFile:
        """The pump file of this candidate."""
        drawn = self.build.pump
        if self.diameter == drawn.impeller.diameter:
            return drawn
        return changed(drawn, impeller=changed(drawn.impeller, diameter=self.diameter))

    def enquiry(self, asked: Enquiry) -> Enquiry:
        """The enquiry with the speed of this candidate, where its inverter sets it and a case does not."""
        if self.pump.driver.inverter is None:
            return asked
        cases = tuple(case if case.speed else case.model_copy(update={"speed": self.speed}) for case in asked.cases)
        return asked.model_copy(update={"cases": cases})


def changed(part: AnyPart, **changes: Any) -> AnyPart:
    """A part with some fields changed, made and checked anew so that nothing worked out before is kept."""
    values = {name: getattr(part, name) for name in type(part).model_fields}
    return type(part).model_validate(values | changes)


def builds_of(entry: CatalogueEntry, choices: Choices, frequency: int) -> tuple[list[Build], list[str]]:
    """Every build of a pump file, that as drawn first, and in words what cannot be built."""
    pump, found, refused = entry.pump, [], []
    own = pump.containment_shell.material
    fitting = [name for name in choices.materials
               if name != own and shell_material(name).conduction == pump.shell_material.conduction]
    for length in choices.lengths:
        for material in (own, *fitting):
            build = Build(entry, material, length, frequency)
            try:
                build.pump  # noqa: B018  made here, where a pump file that cannot be made is told
            except ValidationError as error:
                told = str(error.errors()[0]["msg"]).removeprefix("Value error, ")
                refused.append(f"{entry.name} with {material} and {length:.0%} of the magnets cannot be built: {told}")
            else:
                found.append(build)
    return found, refused


def _built(pump: PumpFile, material: str, length: float) -> PumpFile:
    """The pump with another shell material and magnet length; what was stated or measured of the old one is dropped.

    Magnets, wetted cylinder and shell grow together, around the middle of the magnets; inertias and masses stay.
    """
    shell, inner, outer = pump.containment_shell, pump.inner_ring, pump.outer_ring
    changes: dict[str, Any] = {}
    if material != shell.material:
        shell = changed(shell, material=material, resistivity=None, pressure_rating=None)
        changes["measured"] = None
    if length != 1.0:
        longer = (length - 1.0) * inner.wet_length
        shell = changed(shell, length=shell.length + longer, rear_overhang=shell.rear_overhang + longer / 2)
        place = None if inner.position is None else inner.position + longer / 2
        changes["inner_ring"] = changed(inner, length=length * inner.length, wet_length=length * inner.wet_length,
                                        position=place)
        changes["outer_ring"] = changed(outer, length=length * outer.length)
        changes["measured"] = None
    if not changes:
        return pump
    return changed(pump, containment_shell=shell, **changes)


def speeds_of(pump: PumpFile, count: int) -> tuple[float, ...]:
    """Speeds to try [rad/s]: that of the motor, or some over the range of its inverter, the fastest first."""
    inverter = pump.driver.inverter
    if inverter is None:
        return (pump.driver.speed,)
    speeds = np.linspace(inverter.highest_speed, inverter.lowest_speed, count)
    return tuple(dict.fromkeys(float(speed) for speed in speeds))


def diameters_of(pump: PumpFile, inputs: Inputs, kinematic_viscosity: Array, head: Array, trims: Sequence[float]
                 ) -> tuple[float, ...]:
    """Diameters to try [m]: the smallest whole step that gives the heads asked, and some larger.

    Where even the largest gives too little head it is tried alone; where no head is asked, that of the drawing is.
    """
    impeller, asked = pump.impeller, ~np.isnan(head)
    if not asked.any():
        return (impeller.diameter,)

    def enough(diameter: float) -> bool:
        point = operating_point(pump, inputs.flow[asked], inputs.speed[asked], kinematic_viscosity[asked],
                                diameter=diameter)
        return bool((point.head >= head[asked]).all())

    small, large = impeller.smallest_diameter, impeller.largest_diameter
    steps = np.arange(math.floor(small / TRIM_STEP) + 1, math.ceil(large / TRIM_STEP)) * TRIM_STEP
    grid = [small, *(float(step) for step in np.round(steps, 6)), large]
    first = bisect.bisect_left(grid, True, key=enough)
    if first == len(grid):
        return (large,)
    return tuple(dict.fromkeys(_nearest(grid, grid[first] * trim) for trim in trims))


def _nearest(grid: Sequence[float], diameter: float) -> float:
    return min(grid, key=lambda one: abs(one - diameter))
