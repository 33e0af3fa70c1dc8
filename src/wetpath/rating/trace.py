"""The trace: pressure, temperature and margin of the circulated liquid, station by station in flow order."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

import numpy as np

from wetpath.circulation import annulus_cells
from wetpath.rating.situation import Situation


@dataclass(frozen=True)
class StationState:
    """One station in one case; SI, NaN where a value does not exist."""

    name: str
    title: str
    pressure: float
    temperature: float
    vapour_pressure: float
    pressure_margin: float
    head_margin: float
    temperature_margin: float
    wall_temperature: float        # of the shell beside it, NaN away from the annulus
    wall_margin: float             # wall temperature below boiling there
    flow: float                    # through the station [kg/s]


@dataclass(frozen=True)
class BranchState:
    """One branch in one case; SI."""

    name: str
    start: str
    end: str
    flow: float                    # signed along the branch [kg/s]
    heat: float                    # taken up by the liquid [W]
    reversed: bool


def trace_of(situation: Situation, case: int) -> tuple[StationState, ...]:
    """Stations of one case in the order in which the liquid reaches them."""
    network, states = situation.pump.network, situation.solution.states
    start, end = network.topology.start, network.topology.end
    flow = states.flow[case]
    inflow = np.zeros(len(network.stations))
    outflow = np.zeros(len(network.stations))
    np.add.at(inflow, np.where(flow >= 0, end, start), np.abs(flow))
    np.add.at(outflow, np.where(flow >= 0, start, end), np.abs(flow))
    wall = _walls(situation, case)
    return tuple(
        StationState(
            name=name, title=situation.pump.title_of(name), pressure=float(states.pressure[case, i]),
            temperature=float(states.temperature[case, i]), vapour_pressure=float(states.saturation[case, i]),
            pressure_margin=float(situation.pressure_margin[case, i]),
            head_margin=float(situation.head_margin[case, i]),
            temperature_margin=float(situation.temperature_margin[case, i]),
            wall_temperature=wall.get(i, (nan, nan))[0], wall_margin=wall.get(i, (nan, nan))[1],
            flow=float(max(inflow[i], outflow[i])))
        for i, name in enumerate(network.stations))


def branches_of(situation: Situation, case: int) -> tuple[BranchState, ...]:
    """Branches of one case, as the pump file lists them; film and grooves of a bearing apart."""
    states = situation.solution.states
    return tuple(BranchState(branch.name, branch.start, branch.end, float(states.flow[case, i]),
                             float(states.heat[case, i]), bool(states.flow[case, i] < 0))
                 for i, branch in enumerate(situation.pump.network.branches))


def _walls(situation: Situation, case: int) -> dict[int, tuple[float, float]]:
    """Shell wall beside the two ends of the annulus, and its margin, by station."""
    network = situation.pump.network
    annulus = network.annulus
    record = situation.cells[case]
    margin = situation.wall_margin[case]
    wall = record[annulus_cells.CELL_WALL]
    return {int(network.topology.start[annulus]): (float(wall[0]), float(margin[0])),
            int(network.topology.end[annulus]): (float(wall[-1]), float(margin[-1]))}
