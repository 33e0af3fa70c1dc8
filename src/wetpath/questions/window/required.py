"""The suction pressure that the wetted path asks for, over flow and temperature, beside what NPSH asks for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.circulation.laws import LENGTH, LOSS
from wetpath.circulation.solve import MachineArrays
from wetpath.edge.practice import Practice
from wetpath.physics.pump.npsh import npsh_available, suction_pressure_needed
from wetpath.questions.uncertainty.spread import shell_loss_spread
from wetpath.questions.window.basis import CHUNK, Basis, Cancelled, Progress
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.missing import FURTHEST_PRESSURE, PRESSURE_RESOLUTION, distance, least_change
from wetpath.rating.pump_model import Inputs, PumpModel, Selection, Solved
from wetpath.rating.suction_state import npsh_needed, suction_area
from wetpath.words import told

Array = NDArray[np.float64]

#: First rise above the vapour pressure that is tried [Pa].
FIRST_RISE = 5e4
#: The demands, in the words of their checks; the last where the vapour pressure itself is enough.
DEMANDS = ("vapour margin", "margin to boiling", "shell wall margin to boiling", "liquid at the suction flange")


@dataclass(frozen=True)
class Spread:
    """Factors on what the required suction pressure depends on most."""

    feed_loss: float = 1.0       # pressure loss of the passages that leave a tap
    shell_loss: float = 1.0      # eddy heat of the shell
    film: float = 1.0            # heat transfer coefficient from wall to liquid under the magnets

    @property
    def told(self) -> str:
        """In words."""
        feed, shell = (f"{100 * (factor - 1):+.0f}\u2009%".replace("-", "\u2212")
                       for factor in (self.feed_loss, self.shell_loss))
        return told("feed hole loss {feed}, shell loss {shell}, heat transfer at the wall times {film:g}", feed=feed,
                    shell=shell, film=self.film)


def band_ends(basis: Basis) -> tuple[Spread, Spread]:
    """Better and worse end of the band, from the spreads of the practice, as the uncertainty question takes them.

    Each of the three factors stands at that end of its 95 % range which lowers, or raises, the required pressure. Where
    the three act about linearly, the band of all at their ends is at least as wide as their joint 95 % range, the root
    of the sum of the squares. A shell loss measured on the pump has a spread of its own.
    """
    rows, of_shell = basis.situation.practice.spreads, shell_loss_spread(basis.situation.pump)
    feed, shell, film = (rows[name].factors for name in ("hole_loss_factor", of_shell, "wall_heat_transfer_factor"))
    return Spread(feed[0], shell[0], film[1]), Spread(feed[1], shell[1], film[0])


@dataclass(frozen=True, eq=False)
class SpreadModel(PumpModel):
    """A pump whose feed and shell loss differ from those of its file."""

    spread: Spread = Spread()

    @cached_property
    def machine(self) -> MachineArrays:
        """Arrays of the coupled solve."""
        own, network, spread = machine_arrays([self.pump]), self.pump.network, self.spread
        taps = {tap.station for tap in network.taps}
        rows = own.rows.copy()
        for place, branch in enumerate(network.branches):
            if branch.start in taps:
                rows[:, place, [LOSS, LENGTH]] *= spread.feed_loss
        return own._replace(rows=rows, inner=own.inner * spread.shell_loss, outer=own.outer * spread.shell_loss,
                            cross=own.cross * spread.shell_loss)


@dataclass(frozen=True, eq=False)
class Required:
    """Suction pressures that are asked for [Pa], absolute; NaN where none within reach is enough."""

    vapour_pressure: Array
    pressure: Array           # least with which every vapour demand of the practice holds along the wetted path
    lowest: Array             # ends of its band
    highest: Array
    head: Array               # the same as NPSH available at the suction flange [m]
    governing: NDArray[np.int64]   # demand that is just met, index into DEMANDS; -1 where none is found
    npsh_required: Array      # NPSH3 [m]
    npsh_needed: Array        # with the margin of the practice [m]
    npsh_pressure: Array      # pressure that gives the latter at the temperature in the impeller eye

    @property
    def above_vapour(self) -> Array:
        """Required pressure above the vapour pressure at the suction flange."""
        return self.pressure - self.vapour_pressure

    def reshaped(self, shape: tuple[int, ...]) -> Required:
        """The same with other axes."""
        return Required(**{name: getattr(self, name).reshape(shape) for name in self.__dataclass_fields__})


def vapour_demands(practice: Practice) -> tuple[float, float, float]:
    """Vapour margins that the practice asks for: pressure [Pa], temperature [K], wall temperature [K]."""
    pressure, temperature, wall = (practice[name].value for name in (
        "vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"))
    return pressure, temperature, wall


def required_at(basis: Basis, flow: Array, temperature: Array, *, band: bool = True, progress: Progress | None = None,
                cancelled: Cancelled | None = None) -> Required:
    """Find the least suction pressures at points given as columns, with their bands.

    Parameters
    ----------
    basis : Basis
    flow, temperature : array [m3/s], [K]
    band : bool
        Find the ends of the band too, which takes two thirds of the time; without it they are NaN.
    progress, cancelled : callable, optional
        Told how many points are done; asked between chunks whether to stop. What is not done is NaN.

    Notes
    -----
    Searched from the vapour pressure at the suction flange up to 60 bar above it, by bisection and false position on
    the coupled solve; every vapour margin rises with the suction pressure. The answer is on the side that holds, to
    10 Pa. A solve that does not close counts as one that does not hold. Of the band only the wall temperature answers
    to the heat transfer, at unchanged heat.
    """
    count = flow.size
    middle, better, worse, *beside = columns = [np.full(count, np.nan) for _ in range(7)]
    spreads = (Spread(), *band_ends(basis)) if band else (Spread(),)
    governing, vapour = np.full(count, -1), np.asarray(basis.liquid.vapour_pressure(temperature))
    for first in range(0, count if basis.liquid.has_vapour_pressure else 0, CHUNK):
        if cancelled is not None and cancelled():
            break
        chunk = np.arange(first, min(first + CHUNK, count))
        inputs = basis.inputs(flow[chunk], temperature[chunk], vapour[chunk])
        for column, spread in zip(columns, spreads, strict=False):
            column[chunk] = least_pressure(basis, inputs, spread)
        found, governing[chunk] = _beside(basis, inputs, middle[chunk])
        for column, values in zip(beside, found, strict=True):
            column[chunk] = values
        if progress is not None:
            progress(int(chunk[-1]) + 1, count)
    # one of the spreads may help one demand and harm another: the band holds its middle
    lowest, highest = (np.fmin(middle, better), np.maximum(middle, worse)) if band else (better, worse)
    return Required(vapour, middle, lowest, highest, beside[0], governing, *beside[1:])


def least_pressure(basis: Basis, inputs: Inputs, spread: Spread = Spread()) -> Array:
    """Least suction pressure with which every vapour demand holds, from the pressure of the inputs upward [Pa]."""
    model = SpreadModel(basis.model.pump, basis.liquid, spread)
    asked = vapour_demands(basis.situation.practice)

    def left(rise: Array, chosen: Selection) -> Array:
        cases = inputs.chosen(chosen)
        solved = model.solve(cases.changed(pressure=cases.pressure + rise), prove=False)
        return vapour_left(solved, asked, spread.film)

    return inputs.pressure + least_change(left, inputs.flow.size, FURTHEST_PRESSURE, FIRST_RISE, PRESSURE_RESOLUTION)


def vapour_left(solved: Solved, asked: tuple[float, float, float], film: float = 1.0) -> Array:
    """How far cases are from holding the vapour demands; ``film`` divides what the wall is warmer than its liquid."""
    pressure, temperature, wall = asked
    if film == 1.0:
        return distance(solved, pressure, temperature, wall)
    cells = solved.solution.states.cells
    liquid = cells[:, annulus_cells.CELL_LIQUID]
    warmer = (cells[:, annulus_cells.CELL_WALL] - liquid) / film
    of_wall = (cells[:, annulus_cells.CELL_BOILING] - liquid - warmer).min(axis=1)
    return np.minimum(distance(solved, pressure, temperature, -np.inf), (of_wall - wall) / 10.0)


def _beside(basis: Basis, inputs: Inputs, pressure: Array) -> tuple[list[Array], NDArray[np.int64]]:
    """Head of the required pressure, NPSH3, NPSH with margin, the pressure that gives it; the demand just met."""
    found = ~np.isnan(pressure)
    at = basis.at(inputs.changed(pressure=np.where(found, pressure, inputs.pressure + FURTHEST_PRESSURE)))
    scalars, velocity = at.scalars, inputs.flow / suction_area(at.pump)
    density = scalars[:, solve.DENSITY_IN]
    head = np.asarray(npsh_available(pressure, inputs.pressure, density, velocity))
    needed, _ = npsh_needed(at)
    eye = basis.liquid.vapour_pressure(scalars[:, solve.EYE_TEMPERATURE])
    for_npsh = np.where(found, suction_pressure_needed(needed, eye, density, velocity), np.nan)
    asked = vapour_demands(basis.situation.practice)
    left = np.array([(scalars[:, solve.PRESSURE_MARGIN] - asked[0]) / 1e5,
                     (scalars[:, solve.TEMPERATURE_MARGIN] - asked[1]) / 10,
                     (scalars[:, solve.WALL_MARGIN] - asked[2]) / 10])
    governing = np.where(pressure > inputs.pressure, np.argmin(left, axis=0), len(DEMANDS) - 1)
    return [head, at.solved.point.npsh_required, needed, for_npsh], np.where(found, governing, -1)
