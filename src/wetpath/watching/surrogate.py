"""A smooth stand-in for the coupled solve over what plants measure, quick enough for every second, with its own error.

Every station has its rise in pressure and in temperature over the suction as a polynomial; the vapour pressure, steep
and known, is not among them: the margin is put together afterwards, so that it stays exact where it is steep.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, laws, solve
from wetpath.errors import LimitError
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.lookup import LiquidArrays, saturation_temperature, vapour_pressure
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.physics.published import compiled
from wetpath.questions.protection.signals import outside_of
from wetpath.questions.sensitivity.evaluate import Evaluated, evaluate
from wetpath.questions.sensitivity.sample import sample_of
from wetpath.questions.sensitivity.worth import model_of_case
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]

#: Nodes over flow, suction temperature, speed, suction pressure, and area of the feed passages that is left.
NODES = (11, 6, 3, 3, 6)
FLOW, TEMPERATURE, SPEED, PRESSURE, FEED = range(5)
#: Least share of the feed area that is looked at, and of the best flow; how far beyond the cases the region reaches,
#: and beyond the larger of rated and best flow.
LEAST_FEED, LEAST_FLOW, WIDER_K, WIDER, MOST_FLOW = 0.3, 0.15, 8.0, 0.15, 1.15
#: Points at which the error is measured, none of them a node.
HELD_OUT = 400
#: Columns before those of the stations: what instruments show, and two numbers that stand for themselves.
RISE, POWER, SHELL, RETURN, WALL, WALL_PRESSURE, PULL_OUT, NPSH_ASKED = range(8)
FIRST_STATION = 8
#: What `margins` returns.
MARGIN, AT, WALL_MARGIN, RATIO, NPSH_MARGIN = range(5)


@dataclass(frozen=True, eq=False)
class Surrogate:
    """Polynomials of one pump with one liquid; ``low`` and ``high`` are the region they hold in."""

    rating: Rating
    case: int
    low: Array                   # (5,) SI
    high: Array
    coefficients: Array          # (flow, temperature, speed, pressure, feed, columns)
    stations: tuple[str, ...]
    band: int                    # of the shell thermometer
    liquid: Liquid
    atmosphere: float
    error: float                 # largest of the vapour margin over the held-out points [Pa]
    relative_error: float        # largest over the margin itself, where it is above `LEAST_MARGIN`
    errors: Array                # (columns,) largest error of every column
    points: int

    def at_feed(self, feed: float) -> Array:
        """Coefficients with the area of the feed passages put in, (flow, temperature, speed, pressure, columns)."""
        share = 2 * (feed - self.low[FEED]) / (self.high[FEED] - self.low[FEED]) - 1
        basis = chebyshev.chebvander(np.clip(share, -1, 1), self.coefficients.shape[FEED] - 1)
        return np.ascontiguousarray(np.tensordot(self.coefficients, np.ravel(basis), axes=(FEED, 0)))

    def holds(self, conditions: Array) -> NDArray[np.bool_]:
        """Where conditions (samples, 4: flow, temperature, speed, pressure) lie in the region."""
        return np.asarray(((conditions >= self.low[:4] - 1e-12) & (conditions <= self.high[:4] + 1e-12)).all(axis=1))


#: Margins below this do not count for the relative error: there the error in pascal says more [Pa].
LEAST_MARGIN = 2e4


def surrogate_of(rating: Rating, case: int, *, band: int = 0, nodes: tuple[int, ...] = NODES) -> Surrogate:
    """Fit the polynomials by solving the pump at the nodes, and measure their error at points in between.

    Raises
    ------
    LimitError
        When a part of the region has no liquid solution: then nothing smooth can be laid through it.
    """
    model, inputs = model_of_case(rating, case)
    low, high = _region(rating, case)
    axes = [0.5 * (low[one] + high[one]) + 0.5 * (high[one] - low[one]) * chebyshev.chebpts1(count)
            for one, count in enumerate(nodes)]
    mesh = np.stack([one.ravel() for one in np.meshgrid(*axes, indexing="ij")], axis=1)
    found = _columns(rating, model, inputs, mesh, band)
    lost = ~np.isfinite(found).all(axis=1)
    if lost.any():
        raise LimitError(f"{lost.mean():.0%} of the region around the cases has no liquid solution: it cannot be "
                         "watched by a smooth model; give cases that run, or another pump")
    values = found.reshape(*nodes, -1)
    for axis, count in enumerate(nodes):
        inverse = np.linalg.inv(chebyshev.chebvander(chebyshev.chebpts1(count), count - 1))
        values = np.moveaxis(np.tensordot(inverse, values, axes=(1, axis)), 0, axis)
    liquid = model.liquid
    plain = Surrogate(rating, case, low, high, values, tuple(rating.pump.network.stations), band, liquid,
                      float(rating.situation.demands.atmosphere), 0.0, 0.0, np.zeros(found.shape[1]), len(mesh))
    return _with_error(plain, model, inputs)


def _region(rating: Rating, case: int) -> tuple[Array, Array]:
    situation, inputs = rating.situation, rating.inputs
    tested = situation.demands.works_test
    own = np.flatnonzero((situation.model_of == situation.model_of[case]) & (tested == tested[case]))
    best = situation.solved.point.best_flow[own]
    speeds, pressures, temperatures = inputs.speed[own], inputs.pressure[own], inputs.temperature[own]
    liquid = situation.liquids[int(situation.model_of[case])]
    coldest, hottest = liquid.temperature_range
    vapour = float(np.nan_to_num(liquid.vapour_pressure(temperatures.min()), nan=0.0))
    low = np.array([LEAST_FLOW * best.min(), max(temperatures.min() - WIDER_K, coldest), 0.97 * speeds.min(),
                    max((1 - WIDER) * pressures.min(), 1.01 * vapour, 2e3), LEAST_FEED])
    high = np.array([MOST_FLOW * max(inputs.flow[own].max(), best.max()),
                     min(temperatures.max() + WIDER_K, hottest - 1.0), 1.03 * speeds.max(),
                     (1 + WIDER) * pressures.max(), 1.0])
    return low, high


def _columns(rating: Rating, model: PumpModel, inputs: Inputs, conditions: Array, band: int) -> Array:
    """Solve the pump at conditions (points, 5), and return every column; NaN where it does not close."""
    pump, count = rating.pump, len(conditions)
    sample = sample_of(model.machine, inputs, count)
    for name, column in (("flow", FLOW), ("temperature", TEMPERATURE), ("speed", SPEED), ("pressure", PRESSURE)):
        getattr(sample.inputs, name)[:] = conditions[:, column]
    topology, rows = pump.network.topology, sample.machine.rows
    flow = rating.situation.solution.states.flow[0]
    upstream = np.where(flow >= 0, topology.start, topology.end)
    fed = np.flatnonzero((topology.kind == laws.PASSAGE) & np.isin(upstream, topology.taps))
    rows[:, fed, laws.AREA] *= conditions[:, FEED, None]
    rows[:, fed, laws.DIAMETER] *= np.sqrt(conditions[:, FEED, None])
    found = evaluate(model, sample)
    return _told(rating, found, conditions, band)


def _told(rating: Rating, found: Evaluated, conditions: Array, band: int) -> Array:
    pump, states = rating.pump, found.states
    suction, warm = conditions[:, PRESSURE, None], conditions[:, TEMPERATURE, None]
    density = states.scalars[:, solve.DENSITY_IN]
    power = found.losses.shaft + motor_loss(found.losses.shaft, pump.driver.rated_power,
                                            rating.situation.driver.efficiency)
    backwards = states.flow[:, pump.network.annulus] < 0
    topology = pump.network.topology
    after = np.where(backwards, topology.start[pump.network.annulus], topology.end[pump.network.annulus])
    hottest = states.cells[:, annulus_cells.CELL_WALL].argmax(axis=1)
    each = np.arange(len(conditions))
    first = np.stack([
        density * STANDARD_GRAVITY * found.point.head, power, outside_of(pump, states)[:, band] - warm[:, 0],
        states.temperature[each, after] - warm[:, 0], states.cells[each, annulus_cells.CELL_WALL, hottest] - warm[:, 0],
        states.cells[each, annulus_cells.CELL_PRESSURE, hottest] - suction[:, 0], found.losses.coupling_ratio,
        found.npsh_available - found.point.npsh_required], axis=1)
    told = np.concatenate([first, states.pressure - suction, states.temperature - warm], axis=1)
    return np.where(found.closed[:, None], told, np.nan)


def _with_error(plain: Surrogate, model: PumpModel, inputs: Inputs) -> Surrogate:
    """Compare with the full solve at points that are no nodes."""
    random = np.random.default_rng(20250714)
    points = plain.low + random.random((HELD_OUT, 5)) * (plain.high - plain.low)
    full = _columns(plain.rating, model, inputs, points, plain.band)
    kept = np.isfinite(full).all(axis=1)
    points, full = points[kept], full[kept]
    ours = np.empty_like(full)
    for number, point in enumerate(points):
        ours[number] = columns_at(plain.at_feed(float(point[FEED])), plain.low, plain.high, point[None, :4])[0]
    margins = [margins_of(plain.liquid.arrays, columns, points[:, TEMPERATURE], points[:, PRESSURE])[:, MARGIN]
               for columns in (ours, full)]
    off = np.abs(margins[0] - margins[1])
    counts = np.abs(margins[1]) > LEAST_MARGIN
    relative = float((off[counts] / np.abs(margins[1][counts])).max()) if counts.any() else 0.0
    return Surrogate(**{**plain.__dict__, "error": float(off.max()), "relative_error": relative,
                        "errors": np.abs(ours - full).max(axis=0)})


@compiled
def columns_at(coefficients: Any, low: Any, high: Any, conditions: Any) -> Any:
    """Columns at conditions (samples, 4); outside the region those at its edge. (samples, columns)."""
    flows, temperatures, speeds, pressures, columns = coefficients.shape
    found = np.zeros((conditions.shape[0], columns))
    basis = np.empty((4, max(flows, temperatures, speeds, pressures)))
    for sample in range(conditions.shape[0]):
        for one in range(4):
            x = 2.0 * (conditions[sample, one] - low[one]) / (high[one] - low[one]) - 1.0
            x = min(max(x, -1.0), 1.0)
            basis[one, 0] = 1.0
            basis[one, 1] = x
            for degree in range(2, basis.shape[1]):
                basis[one, degree] = 2.0 * x * basis[one, degree - 1] - basis[one, degree - 2]
        for i in range(flows):
            for j in range(temperatures):
                for k in range(speeds):
                    outer = basis[0, i] * basis[1, j] * basis[2, k]
                    for m in range(pressures):
                        share = outer * basis[3, m]
                        for column in range(columns):
                            found[sample, column] += share * coefficients[i, j, k, m, column]
    return found


@compiled
def margins_of(liquid: LiquidArrays, columns: Any, temperature: Any, pressure: Any) -> Any:
    """Worst vapour margin [Pa] with its station, margin of the wall [K], pull-out ratio, NPSH margin [m]."""
    count = columns.shape[0]
    stations = (columns.shape[1] - FIRST_STATION) // 2
    found = np.empty((count, 5))
    for sample in range(count):
        worst, at = np.inf, 0
        for station in range(stations):
            here = pressure[sample] + columns[sample, FIRST_STATION + station]
            warm = temperature[sample] + columns[sample, FIRST_STATION + stations + station]
            margin = here - vapour_pressure(liquid, warm)
            if margin < worst:
                worst, at = margin, station
        wall = temperature[sample] + columns[sample, WALL]
        boils = saturation_temperature(liquid, pressure[sample] + columns[sample, WALL_PRESSURE], wall)
        found[sample, MARGIN] = worst
        found[sample, AT] = at
        found[sample, WALL_MARGIN] = boils - wall
        found[sample, RATIO] = columns[sample, PULL_OUT]
        found[sample, NPSH_MARGIN] = columns[sample, NPSH_ASKED]
    return found
