"""Solves every copy of a sample and reads the quantities that matter: vapour margins, NPSH, pull-out, power."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.circulation.batch import BatchArrays, among_cores, empty_batch, solve_range
from wetpath.circulation.continuation import Solution
from wetpath.circulation.solve import CaseArrays, MachineArrays, NetworkArrays
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.liquids.lookup import LiquidArrays
from wetpath.physics.published import compiled
from wetpath.physics.pump.npsh import npsh_available
from wetpath.questions.sensitivity.sample import Sample
from wetpath.rating.losses import Losses, losses_of
from wetpath.rating.operating_point import OperatingPoint, operating_point
from wetpath.rating.pump_model import PumpModel, Solved
from wetpath.rating.suction_state import suction_area

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Quantity:
    """One result that is followed; the vapour margins bear the names of their checks."""

    name: str
    title: str
    short: str
    kind: Kind


PRESSURE_MARGIN, TEMPERATURE_MARGIN, WALL_MARGIN, NPSH_MARGIN, PULL_OUT_RATIO, SHAFT_POWER = range(6)
QUANTITIES = (
    Quantity("vapour_margin_pressure", "vapour margin", "vapour\nmargin", q.PRESSURE_DIFFERENCE),
    Quantity("vapour_margin_temperature", "margin to boiling", "to\nboiling", q.TEMPERATURE_DIFFERENCE),
    Quantity("wall_margin_temperature", "shell wall margin to boiling", "shell\nwall", q.TEMPERATURE_DIFFERENCE),
    Quantity("npsh_margin", "NPSH available less NPSH3", "NPSH\nmargin", q.HEAD),
    Quantity("pull_out_ratio", "pull-out torque over running torque", "pull-out\nratio", q.RATIO),
    Quantity("shaft_power", "power at the motor shaft", "shaft\npower", q.POWER),
)
#: Copies that one thread solves at a time.
SHARE = 64
#: Those that tell whether the liquid stays liquid.
VAPOUR_MARGINS = (PRESSURE_MARGIN, TEMPERATURE_MARGIN, WALL_MARGIN)


@dataclass(frozen=True)
class Place:
    """Where the three vapour margins are read: stations for pressure and temperature, a cell of the annulus."""

    pressure: int
    temperature: int
    cell: int


@dataclass(frozen=True, eq=False)
class Evaluated:
    """Solved copies, first axis the copy; what has not closed is NaN."""

    closed: NDArray[np.bool_]
    pressure_margin: Array       # (copies, stations) [Pa]
    temperature_margin: Array    # (copies, stations) [K]
    wall_margin: Array           # (copies, cells) [K]
    others: Array                # (copies, 3): NPSH margin [m], pull-out ratio [-], shaft power [W]
    film: Array                  # (copies, cells) wall heat transfer [W/(m2 K)]
    wall_pressure: Array         # (copies, cells) [Pa]
    wall_liquid: Array           # (copies, cells) liquid temperature beside the wall [K]
    states: BatchArrays
    point: OperatingPoint
    losses: Losses
    npsh_available: Array        # (copies,) [m]

    @property
    def place(self) -> Place:
        """Where the margins of the first copy are worst."""
        if not self.closed[0] or np.isnan(self.pressure_margin[0]).any():
            return Place(0, 0, 0)
        return Place(int(np.argmin(self.pressure_margin[0])), int(np.argmin(self.temperature_margin[0])),
                     int(np.argmin(self.wall_margin[0])))

    @property
    def worst(self) -> Array:
        """(copies, quantities), each vapour margin at the place where it is least."""
        return np.column_stack((self.pressure_margin.min(axis=1), self.temperature_margin.min(axis=1),
                                self.wall_margin.min(axis=1), self.others))

    def at(self, place: Place) -> Array:
        """(copies, quantities), the vapour margins at one place, where they change smoothly."""
        return np.column_stack((self.pressure_margin[:, place.pressure], self.temperature_margin[:, place.temperature],
                                self.wall_margin[:, place.cell], self.others))


def evaluate(model: PumpModel, sample: Sample) -> Evaluated:
    """Solve every copy from a first guess of its own.

    Notes
    -----
    No proof by continuation: a copy that does not close at once counts as one without liquid solution.
    """
    point = _point(model, sample)
    states = _solved(model, sample, point)
    first, step = model.liquid.arrays.first_temperature, model.liquid.arrays.temperature_step
    last = first + step * model.liquid.arrays.rows.shape[0]
    closed = (states.scalars[:, solve.CONVERGED] > 0) & (states.temperature <= last).all(axis=1)
    blank = np.where(closed, 1.0, np.nan)[:, None]
    cells = states.cells
    solution = Solution(states, np.zeros(sample.count, np.int64), np.zeros(sample.count),
                        np.zeros(sample.count, np.int64))
    losses = losses_of(model.pump, Solved(sample.inputs, point, solution))
    velocity = sample.inputs.flow / suction_area(model.pump)
    eye = model.liquid.vapour_pressure(states.scalars[:, solve.EYE_TEMPERATURE]) * sample.vapour_pressure
    available = np.asarray(npsh_available(sample.inputs.pressure, eye, states.scalars[:, solve.DENSITY_IN], velocity))
    others = np.column_stack((available - point.npsh_required, losses.coupling_ratio, losses.shaft))
    return Evaluated(
        closed=closed, pressure_margin=(states.pressure - states.saturation) * blank,
        temperature_margin=(states.boiling - states.temperature) * blank,
        wall_margin=(cells[:, annulus_cells.CELL_BOILING] - cells[:, annulus_cells.CELL_WALL]) * blank,
        others=others * blank, film=cells[:, annulus_cells.CELL_FILM],
        wall_pressure=cells[:, annulus_cells.CELL_PRESSURE], wall_liquid=cells[:, annulus_cells.CELL_LIQUID],
        states=states, point=point, losses=losses, npsh_available=available)


def _point(model: PumpModel, sample: Sample) -> OperatingPoint:
    """Hydraulics of the copies, their factors on head, efficiency and NPSH3 put in."""
    inputs = sample.inputs
    state = model.liquid.state(inputs.temperature, inputs.pressure)
    kinematic = state.viscosity * sample.viscosity / (state.density * sample.density)
    point = operating_point(model.pump, inputs.flow, inputs.speed, kinematic)
    return replace(point, head=point.head * sample.head, efficiency=point.efficiency * sample.efficiency,
                   npsh_required=point.npsh_required * sample.npsh_required)


def _solved(model: PumpModel, sample: Sample, point: OperatingPoint) -> BatchArrays:
    """States of all copies, each with its own liquid."""
    inputs, count, network = sample.inputs, sample.count, model.pump.network.topology
    cases = CaseArrays(
        pump=np.arange(count), flow=inputs.flow, temperature=inputs.temperature, pressure=inputs.pressure,
        speed=inputs.speed, head=point.head, efficiency=point.efficiency, air=inputs.air, heat_scale=np.ones(count))
    states = empty_batch(count, network.kind.size, network.unknown.size, sample.machine.inner.shape[1])
    plain, changes = model.liquid.arrays, sample.liquid_factors
    among_cores(lambda first, last: solve_scaled(network, sample.machine, plain, changes, cases, states, first, last),
                [*range(0, count, SHARE), count])
    return states


@compiled
def solve_scaled(network: NetworkArrays, machine: MachineArrays, plain: LiquidArrays, changes: Array,
                 cases: CaseArrays, results: BatchArrays, first: int, last: int) -> None:
    """Solve copies ``first`` to ``last - 1``, each with its own liquid, as `scaled_liquid` makes it.

    ``changes`` holds the factors of `Sample.liquid_factors`.
    """
    for copy in range(first, last):
        own = LiquidArrays(
            plain.first_temperature, plain.temperature_step, plain.highest_excess_pressure, plain.terms, plain.rows,
            changes[copy, 0] * plain.density_factor, changes[copy, 1] * plain.heat_factor,
            changes[copy, 2] * plain.viscosity_factor, changes[copy, 3] * plain.conductivity_factor,
            changes[copy, 4] * plain.vapour_factor)
        solve_range(network, machine, own, cases, False, results, copy, copy + 1)
