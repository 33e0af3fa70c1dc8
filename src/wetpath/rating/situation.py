"""Everything a check may look at: pump, liquid, cases, practice, and what was solved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.circulation.continuation import Solution
from wetpath.edge.practice import Practice
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.pump.npsh import npsh_available
from wetpath.rating.bearing_state import BearingState, bearing_state
from wetpath.rating.coupling_state import CouplingState, coupling_state
from wetpath.rating.driver_state import DriverState, driver_state
from wetpath.rating.enquiry import Service, Site
from wetpath.rating.external_bearing_state import ExternalBearingState, external_bearing_state
from wetpath.rating.losses import Losses, losses_of
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.protection import Protection
from wetpath.rating.pump_model import PumpModel, Selection, Solved, per_group
from wetpath.rating.shell_state import ShellState, shell_state
from wetpath.rating.slow_running import slow_running
from wetpath.rating.solids import Solids
from wetpath.rating.standstill_state import StandstillState, standstill_state
from wetpath.rating.start_state import StartState, start_state
from wetpath.rating.suction_entries import GasEntry
from wetpath.rating.suction_state import SuctionState, Vessels, suction_state
from wetpath.rating.surface_state import SurfaceState, surface_state
from wetpath.rating.thrust_state import AxialThrust, ThrustState, axial_thrust, thrust_state
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.flow_limits import FlowLimits

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Demands:
    """What the enquiry asks of each case besides its conditions, first axis the case."""

    service: Service
    head: Array                              # [m], NaN where none is asked
    in_preferred: NDArray[np.bool_]          # the flow must lie in the preferred region
    rated: NDArray[np.bool_]
    air_lowest: float                        # [K]
    air_highest: float                       # [K]
    atmosphere: float                        # [Pa]
    works_test: NDArray[np.bool_]            # the case is run on a test bench
    supervised: NDArray[np.bool_]            # somebody watches the flow: cold start, cleaning, flush, works test
    site: Site
    solids: Solids | None
    protection: Protection
    vessels: Vessels | None = None           # vessels the cases draw from
    gas: GasEntry | None = None              # in the liquid of the enquiry
    flushes: NDArray[np.bool_] | None = None  # the case is a cleaning or a flush
    parallel: bool = False                   # pumps run in parallel

    def chosen(self, cases: Selection, **changed: NDArray[np.bool_]) -> Demands:
        """Those of some cases, with some columns replaced; every array has the case as its first axis."""
        columns: dict[str, Any] = {name: value[cases] for name, value in vars(self).items()
                                   if isinstance(value, np.ndarray)}
        vessels = None if self.vessels is None else self.vessels.chosen(cases)
        return replace(self, **{**columns, "vessels": vessels, **changed})


@lru_cache(maxsize=64)
def _all_of(count: int) -> Selection:
    """Every case, by index; shared, so not to be written to."""
    every = np.arange(count)
    every.flags.writeable = False
    return every


@dataclass(frozen=True, eq=False)
class Situation:
    """A solved batch with all that judges it; each case has its own liquid, and so its own model."""

    models: tuple[PumpModel, ...]
    model_of: NDArray[np.int64]     # index of the model of each case
    solved: Solved
    demands: Demands
    practice: Practice

    @property
    def pump(self) -> PumpFile:
        """The pump."""
        return self.models[0].pump

    @property
    def liquid(self) -> Liquid:
        """The liquid of the enquiry."""
        return self.models[0].liquid

    @property
    def liquids(self) -> tuple[Liquid, ...]:
        """Every liquid, that of the enquiry first."""
        return tuple(model.liquid for model in self.models)

    def per_liquid(self, evaluate: Callable[[Liquid, Selection], ArrayLike]) -> Array:
        """What a function of a liquid and the cases that pump it gives, put together in the order of the cases."""
        if len(self.models) == 1:
            return np.asarray(evaluate(self.models[0].liquid, _all_of(self.model_of.size)))
        return per_group(self.model_of, lambda group, chosen: evaluate(self.models[group].liquid, chosen))

    @property
    def solution(self) -> Solution:
        """The solved circulation."""
        return self.solved.solution

    @property
    def count(self) -> int:
        """Number of cases."""
        return self.solved.inputs.flow.size

    @property
    def scalars(self) -> Array:
        """Scalars of the solve, (cases, SCALARS)."""
        return self.solution.states.scalars

    @property
    def cells(self) -> NDArray[np.float64]:
        """The annulus record, (cases, CELL_RECORD, cells)."""
        return self.solution.states.cells

    @cached_property
    def losses(self) -> Losses:
        """Powers and torques."""
        return losses_of(self.pump, self.solved)

    @cached_property
    def coupling(self) -> CouplingState:
        """The magnets, and the coupling out of step."""
        return coupling_state(self)

    @cached_property
    def start(self) -> StartState:
        """The start of the driver through the coupling."""
        return start_state(self)

    @cached_property
    def shell(self) -> ShellState:
        """The containment shell as a pressure part."""
        return shell_state(self)

    @cached_property
    def driver(self) -> DriverState:
        """The motor at the site, and the power the pump may ask of it."""
        return driver_state(self)

    @cached_property
    def surfaces(self) -> SurfaceState:
        """The hottest surfaces, in normal operation and in malfunctions."""
        return surface_state(self)

    @cached_property
    def standstill(self) -> StandstillState:
        """The pump after a stop in hot service, and shut in between closed valves."""
        return standstill_state(self)

    @cached_property
    def bearings(self) -> BearingState:
        """Loads and films of the journal bearings."""
        return bearing_state(self)

    @cached_property
    def new_thrust(self) -> AxialThrust:
        """Axial thrust with a new rear ring."""
        return axial_thrust(self.pump, self.solved, self.pump.impeller.rear_ring_clearance)

    @cached_property
    def thrust(self) -> ThrustState:
        """Axial thrust and the faces that carry it."""
        return thrust_state(self)

    @cached_property
    def external_bearings(self) -> ExternalBearingState | None:
        """Rolling bearings of the drive shaft; None where the pump file has none."""
        return external_bearing_state(self)

    @cached_property
    def slow_running(self) -> Array:
        """Lowest speed of the inverter at which the internal circulation holds, a hint [rad/s]; NaN without one."""
        return slow_running(self)

    @cached_property
    def pressure_margin(self) -> Array:
        """Pressure above the vapour pressure at every station [Pa]."""
        return self.solution.states.pressure - self.solution.states.saturation

    @cached_property
    def temperature_margin(self) -> Array:
        """Temperature below boiling at every station [K]."""
        return self.solution.states.boiling - self.solution.states.temperature

    @cached_property
    def head_margin(self) -> Array:
        """Pressure margin at every station in metres of the liquid there [m]."""
        states = self.solution.states
        density = self.per_liquid(lambda liquid, chosen: liquid.state(
            states.temperature[chosen], states.pressure[chosen]).density)
        return self.pressure_margin / (density * STANDARD_GRAVITY)

    @cached_property
    def wall_margin(self) -> Array:
        """Temperature of the shell wall below boiling at the local pressure, every cell of the annulus [K]."""
        return self.cells[:, annulus_cells.CELL_BOILING] - self.cells[:, annulus_cells.CELL_WALL]

    @cached_property
    def npsh_available(self) -> Array:
        """NPSH available at the temperature in the impeller eye, returned circulation mixed in [m]."""
        inputs = self.solved.inputs
        eye = self.scalars[:, solve.EYE_TEMPERATURE]
        velocity = inputs.flow / (np.pi * self.pump.casing.suction_bore**2 / 4)
        saturation = self.per_liquid(lambda liquid, chosen: liquid.vapour_pressure(eye[chosen]))
        return np.asarray(npsh_available(inputs.pressure, saturation, self.scalars[:, solve.DENSITY_IN], velocity))

    @cached_property
    def suction(self) -> SuctionState:
        """NPSH, suction vessel and gas."""
        return suction_state(self)

    @cached_property
    def flow_limits(self) -> FlowLimits:
        """Least and largest flow of every case; costs some 3 ms a case."""
        from wetpath.rating.flow_limits import find_flow_limits  # it looks at checks, which look at this class

        return find_flow_limits(self)

    def titles(self, stations: NDArray[np.int64]) -> tuple[str, ...]:
        """Names and titles of stations by index."""
        titles = _titles_of(self.pump)
        return tuple(titles[index] for index in stations.tolist())


@once_per_pump
def _titles_of(pump: PumpFile) -> tuple[str, ...]:
    """Names and titles of all stations."""
    return tuple(told("station {name}, {title}", name=name, title=pump.title_of(name))
                 for name in pump.network.stations)
