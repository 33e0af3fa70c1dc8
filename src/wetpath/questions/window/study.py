"""The operating window of one pump and one operating case, with all that is told of it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import TEMPERATURE, VOLUME_FLOW
from wetpath.edge.units import express
from wetpath.errors import InputError
from wetpath.liquids.liquid import Liquid
from wetpath.questions.parts import Cancelled, Progress, Result, Runner, Work, run_here, slices
from wetpath.questions.window.basis import Basis, Suction
from wetpath.questions.window.bounds import Bounds, bounds_from
from wetpath.questions.window.required import Required, required_at
from wetpath.questions.window.window_map import WindowMap, window_map
from wetpath.rating.rate import Rating
from wetpath.words import told

Array = NDArray[np.float64]

#: Default numbers of flows and temperatures.
GRID = (60, 40)
#: Fewest and most points along an axis.
FEWEST, MOST = 3, 400
#: Nodes of the grid at which the required suction pressure is found at most; of a finer grid every second, third, ...
MOST_SEARCHED = 2400
#: Points of which the required suction pressure is searched together.
SEARCHED_TOGETHER = 256
#: Default flows begin at this share of the flow of best efficiency.
FIRST_FLOW_SHARE = 0.08
#: Default temperatures reach this far beyond those of the cases [K].
ROOM = 20.0


class Search(IntEnum):
    """What is found of the suction pressure needed at the nodes of the grid; the rest is NaN."""

    NOTHING = 0        # for faces that ask for it at points of their own
    MIDDLE = 1
    BAND = 2


#: Solves that a search takes about.
SEARCH_COST = {Search.NOTHING: 0, Search.MIDDLE: 10, Search.BAND: 30}


@dataclass(frozen=True)
class Asked:
    """What a window shall be of; None stands for what the case and the cases give."""

    case: int | str | None = None
    grid: tuple[int, int] = GRID
    flow: tuple[float, float] | None = None
    temperature: tuple[float, float] | None = None
    suction: Suction | None = None
    speed: float | None = None
    search: Search = Search.BAND


@dataclass(frozen=True, eq=False)
class Window:
    """A map, the suction pressure needed, and the bounds; of the map's grid the latter has every ``stride``-th."""

    rating: Rating
    basis: Basis
    map: WindowMap
    required: Required           # axes (flow, temperature) of ``required_flow``, ``required_temperature``
    stride: int
    bounds: Bounds
    complete: bool
    warnings: tuple[str, ...]

    @property
    def case_name(self) -> str:
        """The case the window stands on."""
        return self.rating.case_names[self.basis.case]

    @property
    def required_flow(self) -> Array:
        """Flows of the required suction pressure [m3/s]."""
        return self.map.flow[::self.stride]

    @property
    def required_temperature(self) -> Array:
        """Temperatures of the required suction pressure [K]."""
        return self.map.temperature[::self.stride]

    @property
    def shown_cases(self) -> tuple[int, ...]:
        """Cases with the liquid and the speed of the window, which can be drawn in it."""
        situation = self.rating.situation
        same = ((situation.model_of == situation.model_of[self.basis.case])
                & np.isclose(situation.solved.inputs.speed, self.basis.speed))
        return tuple(int(case) for case in np.flatnonzero(same))


def study_window(rating: Rating, asked: Asked = Asked(), *, progress: Progress | None = None,
                 cancelled: Cancelled | None = None, runner: Runner = run_here) -> Window:
    """Work out the operating window around one case of a rating.

    Parameters
    ----------
    rating : Rating
    asked : Asked
        Case, grid, ranges, suction and speed, and how much is searched.
    progress, cancelled : callable, optional
        Told (done, of) in points; asked between parts whether to stop. What was done is kept.
    runner : Runner
        Does the parts; who does them does not change a digit.

    Raises
    ------
    InputError
        For ranges outside the liquid's table, or a suction above a vapour pressure that is not known.
    """
    basis = basis_of(rating, asked)
    flows = _flows(basis, asked.flow)
    temperatures = _temperatures(rating, basis, asked.temperature)
    flow, temperature = np.linspace(*flows, asked.grid[0]), np.linspace(*temperatures, asked.grid[1])
    stride = 1
    while flow[::stride].size * temperature[::stride].size > MOST_SEARCHED:
        stride += 1
    shape = flow[::stride].size, temperature[::stride].size
    total = flow.size * temperature.size
    cost = SEARCH_COST[asked.search]
    of = total + cost * shape[0] * shape[1]

    def told(before: int, each: int) -> Progress | None:
        return None if progress is None else lambda done, _: progress(before + each * done, of)

    chart = window_map(basis, flow, temperature, progress=told(0, 1), cancelled=cancelled, runner=runner)
    at = [one.ravel() for one in np.meshgrid(flow[::stride], temperature[::stride], indexing="ij")]
    required = _required(basis, (at[0], at[1]), asked.search, told(total, cost), cancelled, runner)
    stopped = not chart.rated.all() or (cancelled is not None and cancelled())
    return Window(rating, basis, chart, required.reshaped(shape), stride, bounds_from(basis, flows, temperatures),
                  not stopped, _warnings(rating, basis, chart, stopped))


def _required(basis: Basis, points: tuple[Array, Array], search: Search, progress: Progress | None,
              cancelled: Cancelled | None, runner: Runner) -> Required:
    """Required suction pressures, searched in parts; what is not done is NaN."""
    flow, temperature = points
    cut = slices(flow.size if search else 0, SEARCHED_TOGETHER)
    work = Work("suction pressures needed", search_part, basis.bare,
                [(flow[one], temperature[one], search is Search.BAND) for one in cut],
                [one.stop - one.start for one in cut])
    required = required_at(basis, flow, temperature, cancelled=lambda: True)
    for chunk, part in zip(cut, runner(work, progress, cancelled), strict=True):
        if part is not None:
            for name, values in part.items():
                getattr(required, name)[chunk] = values
    return required


def search_part(basis: Basis, points: tuple[Array, Array, bool]) -> Result:
    """Required suction pressures at flow and temperature of one part, and whether with their band."""
    flow, temperature, band = points
    found = required_at(basis, flow, temperature, band=band)
    return {one.name: getattr(found, one.name) for one in fields(found)}


def basis_of(rating: Rating, asked: Asked) -> Basis:
    """The case, speed and suction that a window stands on."""
    case = rating.verdict.case if asked.case is None else rating.case_number(asked.case)
    own, inputs = rating.enquiry.cases[case], rating.inputs
    suction = asked.suction
    if suction is None:
        suction = (Suction(own.above_vapour_pressure, above_vapour=True) if own.above_vapour_pressure is not None
                   else Suction(float(inputs.pressure[case])))
    basis = Basis(rating.situation, case, asked.speed or float(inputs.speed[case]), suction)
    if suction.above_vapour and not basis.liquid.has_vapour_pressure:
        raise InputError(f"cannot be used: the vapour pressure of {basis.liquid.name} is not known",
                         field="above-vapour-pressure", do="give the suction pressure")
    return basis


def _flows(basis: Basis, asked: tuple[float, float] | None) -> tuple[float, float]:
    if asked is not None:
        return asked
    best, last = _of_the_curve(basis)
    return FIRST_FLOW_SHARE * best, last


def _of_the_curve(basis: Basis) -> tuple[float, float]:
    """Flow of best efficiency and end of the tested curve, at the speed and viscosity of the window [m3/s]."""
    curve = basis.situation.pump.impeller.tested.curve
    point = basis.model.point(basis.inputs(*(np.array([one]) for one in (
        basis.flow, basis.temperature, basis.situation.solved.inputs.pressure[basis.case]))))
    best = float(point.best_flow[0])
    return best, curve.last_flow / curve.best_flow * best


def _temperatures(rating: Rating, basis: Basis, asked: tuple[float, float] | None) -> tuple[float, float]:
    low, high = basis.liquid.temperature_range
    if asked is not None:
        if asked[0] < low or asked[1] > high:
            raise InputError(
                f"reaches outside the property table of {basis.liquid.name}; allowed: {express(low, TEMPERATURE)} to "
                f"{express(high, TEMPERATURE)}", field="temperature", do="give a longer table or a narrower range")
        return asked
    same = rating.situation.model_of == rating.situation.model_of[basis.case]
    of_cases = rating.inputs.temperature[same]
    return max(low, float(of_cases.min()) - ROOM), min(_highest(basis.liquid), float(of_cases.max()) + ROOM)


def _highest(liquid: Liquid) -> float:
    """Just within the end of the table, where a liquid at its critical point has no properties left."""
    return liquid.temperature_range[1] - 1.0


def _warnings(rating: Rating, basis: Basis, chart: WindowMap, stopped: bool) -> tuple[str, ...]:
    found = []
    if stopped:
        done = int(chart.rated.sum())
        found.append(told("stopped after {done} of {size} points; what is rated is kept", done=done,
                          size=chart.rated.size))
    if chart.unproved:
        found.append(told("at {unproved} of {size} points the circulation did not close from its first guess; they "
                          "count as excluded, on the safe side, without proof", unproved=chart.unproved,
                          size=chart.rated.size))
    if not basis.liquid.has_vapour_pressure:
        found.append(told("the vapour pressure of {name} is not known: no suction pressure can be asked for",
                          name=basis.liquid.name))
    _, beyond = _of_the_curve(basis)
    if chart.flow[-1] > 1.001 * beyond:
        found.append(told("flows above {beyond}, the end of the tested curve, stand on a continued curve",
                          beyond=express(beyond, VOLUME_FLOW)))
    return tuple(found)
