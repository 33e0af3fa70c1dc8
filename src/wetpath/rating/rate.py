"""Rate a pump for an enquiry: solve every operating case, make every check, give the verdict."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.practice import Practice, default_practice
from wetpath.edge.quantities import PRESSURE, TEMPERATURE
from wetpath.edge.tables import material_warnings
from wetpath.edge.units import express
from wetpath.errors import InputError
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.validity import messages
from wetpath.rating.bearing_findings import bearing_findings
from wetpath.rating.check import Check
from wetpath.rating.checks import all_checks
from wetpath.rating.checks.flow_limits import flow_findings
from wetpath.rating.coupling_state import coupling_findings
from wetpath.rating.enquiry import Enquiry, OperatingCase
from wetpath.rating.flow_limits import FlowLimits
from wetpath.rating.losses import Losses
from wetpath.rating.machine_arrays import remanences, response_for, shell_conductivity
from wetpath.rating.missing import missing_cooling, missing_suction_pressure
from wetpath.rating.operating_point import OperatingPoint, operating_limits
from wetpath.rating.pump_model import Inputs, PumpModel, Selection, per_group, solve_each
from wetpath.rating.service_findings import service_findings
from wetpath.rating.situation import Demands, Situation
from wetpath.rating.suction_state import Vessels, flange_pressure, suction_area
from wetpath.rating.trace import BranchState, StationState, branches_of, trace_of
from wetpath.rating.verdict import Verdict, judge
from wetpath.words import told

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Missing:
    """What is missing in each case, first axis the case; 0 where nothing is, NaN where nothing would help.

    To stay liquid everywhere, and to meet the vapour margins the practice asks for, wall included.
    """

    pressure_to_liquid: Array      # [Pa]
    cooling_to_liquid: Array       # [K]
    pressure_to_practice: Array    # [Pa]
    cooling_to_practice: Array     # [K]


@dataclass(frozen=True, eq=False)
class Rating:
    """Everything computed for one pump and one enquiry; arrays have the operating case as first axis."""

    enquiry: Enquiry
    situation: Situation
    checks: tuple[Check, ...]
    verdict: Verdict
    warnings: tuple[str, ...]

    @property
    def pump(self) -> PumpFile:
        """The pump."""
        return self.situation.pump

    @property
    def liquid(self) -> Liquid:
        """The liquid."""
        return self.situation.liquid

    @property
    def practice(self) -> Practice:
        """The limits in force."""
        return self.situation.practice

    @property
    def inputs(self) -> Inputs:
        """Conditions of the cases at the suction flange."""
        return self.situation.solved.inputs

    @property
    def point(self) -> OperatingPoint:
        """Hydraulics of the cases."""
        return self.situation.solved.point

    @property
    def flow_limits(self) -> FlowLimits:
        """Least and largest flow of the cases, with every separate limit."""
        return self.situation.flow_limits

    @property
    def losses(self) -> Losses:
        """Powers and torques of the cases."""
        return self.situation.losses

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """How each case ends."""
        return tuple(Outcome(value) for value in self.situation.solution.outcome)

    @property
    def case_names(self) -> tuple[str, ...]:
        """Names of the operating cases."""
        return tuple(case.name for case in self.enquiry.cases)

    @property
    def holds(self) -> bool:
        """Whether every check holds in every case."""
        return self.verdict.holds

    def trace(self, case: int | str = 0) -> tuple[StationState, ...]:
        """Stations of one case, by number or name."""
        return trace_of(self.situation, self.case_number(case))

    def branches(self, case: int | str = 0) -> tuple[BranchState, ...]:
        """Flows and heats of the passages of one case."""
        return branches_of(self.situation, self.case_number(case))

    def case_number(self, case: int | str) -> int:
        """Index of a case given by number or name."""
        if isinstance(case, str):
            if case not in self.case_names:
                raise InputError(f"is not a case of this enquiry; it has {', '.join(self.case_names)}", field="case",
                                 value=f'"{case}"')
            return self.case_names.index(case)
        return case

    @cached_property
    def missing(self) -> Missing:
        """What is missing in each case, found by rating again with more suction pressure and with colder liquid."""
        situation, inputs, practice = self.situation, self.inputs, self.practice
        asked = {"pressure_margin": practice["vapour_margin_pressure"].value,
                 "temperature_margin": practice["vapour_margin_temperature"].value,
                 "wall_margin": practice["wall_margin_temperature"].value}

        def found(search: Callable[..., Array], **demands: float) -> Array:
            def of_one(group: int, chosen: Selection) -> Array:
                model = situation.models[group]
                if not model.liquid.has_vapour_pressure:
                    return np.full(chosen.size, np.nan)
                return search(model, inputs.chosen(chosen), **demands)

            return per_group(situation.model_of, of_one)

        return Missing(found(missing_suction_pressure), found(missing_cooling),
                       found(missing_suction_pressure, **asked), found(missing_cooling, **asked))


def rate(pump: PumpFile, enquiry: Enquiry, liquid: Liquid, practice: Practice | None = None, *,
         others: Mapping[str, Liquid] | None = None, full: bool = True) -> Rating:
    """Rate one pump for all operating cases of an enquiry.

    Parameters
    ----------
    pump : PumpFile
    enquiry : Enquiry
    liquid : Liquid
        The liquid of the enquiry, loaded.
    practice : Practice, optional
        The limits in force; the defaults without it.
    others : mapping, optional
        The other liquids of the enquiry, loaded, by the names the cases call them.
    full : bool
        Also find the least and largest flow of every case and check them, which takes some 2.5 ms a case; without it
        they are found when asked for.

    Returns
    -------
    Rating
        A case that has no liquid solution is part of the answer, not an error.

    Raises
    ------
    InputError
        For a case that cannot be: a temperature outside the liquid's table, a suction below vapour pressure.
    """
    others = others or {}
    models = (PumpModel(pump, liquid), *(PumpModel(pump, other) for other in others.values()))
    known = ["", *others]
    model_of = np.array([known.index(case.liquid) for case in enquiry.cases], np.int64)
    inputs = case_inputs(pump, enquiry, [models[group].liquid for group in model_of])
    solved = solve_each(models, model_of, inputs, place_losses=True)
    density = solved.solution.states.scalars[:, solve.DENSITY_IN]
    situation = Situation(models, model_of, solved, _demands(enquiry, density), practice or default_practice())
    checks = all_checks(situation, full=full)
    names = tuple(case.name for case in enquiry.cases)
    verdict = judge(checks, names, solved.solution.outcome)
    found = (*_warnings(situation), *service_findings(situation, names))
    return Rating(enquiry, situation, checks, verdict, (*found, *flow_findings(situation, names)) if full else found)


def case_inputs(pump: PumpFile, enquiry: Enquiry, liquids: Sequence[Liquid]) -> Inputs:
    """Conditions of the operating cases as arrays, each checked against its liquid."""
    pressures = []
    for number, (case, liquid) in enumerate(zip(enquiry.cases, liquids, strict=True), start=1):
        low, high = liquid.temperature_range
        if not low <= case.temperature <= high:
            raise InputError(
                f"is outside the property table of {liquid.name}; allowed: {express(low, TEMPERATURE)} to "
                f"{express(high, TEMPERATURE)}", field=f"cases[{number}].temperature",
                value=express(case.temperature, TEMPERATURE),
                do="give a longer table or change the temperature")
        pressures.append(_suction_pressure(case, f"cases[{number}]", liquid, suction_area(pump)))
    return Inputs.of([case.flow for case in enquiry.cases], [case.temperature for case in enquiry.cases], pressures,
                     [case.speed or pump.driver.speed for case in enquiry.cases], enquiry.site.air_highest)


def _suction_pressure(case: OperatingCase, field: str, liquid: Liquid, area: float) -> float:
    """Pressure at the suction flange as the case gives it, in whichever way."""
    saturation = float(liquid.vapour_pressure(case.temperature))
    if case.suction_pressure is not None:
        pressure, given = case.suction_pressure, "suction_pressure"
    elif np.isnan(saturation) and (case.vessel is None or case.vessel.boiling):
        raise InputError(f"cannot be used: the vapour pressure of {liquid.name} is not known",
                         field=f"{field}.above_vapour_pressure" if case.vessel is None else f"{field}.vessel.boiling",
                         do="give suction_pressure" if case.vessel is None else "give the pressure of the vessel")
    elif case.vessel is not None:
        above = saturation if case.vessel.pressure is None else case.vessel.pressure
        density = float(liquid.state(case.temperature, above).density)
        pressure, given = flange_pressure(case.vessel, saturation, density, case.flow / area), "vessel"
    else:
        pressure, given = saturation + (case.above_vapour_pressure or 0.0), "above_vapour_pressure"
    if pressure < saturation:
        at = f"at {express(case.temperature, TEMPERATURE)} ({express(saturation, PRESSURE, digits=3)})"
        if given == "vessel":
            raise InputError(
                f"leaves {express(pressure, PRESSURE, digits=3)} at the suction flange, below the vapour pressure "
                f"{at}: the liquid would boil before the pump", field=f"{field}.vessel",
                do="a higher level, less loss in the suction line, or a colder liquid; check gauge against absolute")
        raise InputError(
            f"is below the vapour pressure {at}: the liquid would boil before the pump",
            field=f"{field}.suction_pressure", value=express(pressure, PRESSURE, digits=3),
            do="check gauge against absolute, and the temperature")
    return pressure


def _vessels(enquiry: Enquiry, density: Array) -> Vessels | None:
    """The vessels of the cases; none where no case draws from one."""
    vessels = [case.vessel for case in enquiry.cases]
    if not any(vessels):
        return None
    return Vessels(
        level=np.array([np.nan if one is None else one.level for one in vessels]),
        line_loss=np.array([np.nan if one is None else one.loss_at(weight)
                            for one, weight in zip(vessels, density * STANDARD_GRAVITY, strict=True)]),
        flow=np.array([case.flow for case in enquiry.cases]))


def _demands(enquiry: Enquiry, density: Array) -> Demands:
    return Demands(
        service=enquiry.service,
        head=np.array([np.nan if case.head is None else case.head for case in enquiry.cases]),
        in_preferred=np.array([case.role in ("rated", "normal") for case in enquiry.cases]),
        rated=np.array([case.role == "rated" for case in enquiry.cases]),
        flushes=np.array([case.role in ("cleaning", "flush") for case in enquiry.cases]),
        air_lowest=enquiry.site.air_lowest, air_highest=enquiry.site.air_highest,
        atmosphere=atmosphere_at(enquiry.site.altitude),
        vessels=_vessels(enquiry, density), gas=enquiry.gas, parallel=enquiry.parallel,
        works_test=np.array([case.role == "works test" for case in enquiry.cases]),
        supervised=np.array([case.role in ("works test", "cold start", "cleaning", "flush") for case in enquiry.cases]),
        site=enquiry.site, solids=enquiry.solids, protection=enquiry.protection)


def _warnings(situation: Situation) -> tuple[str, ...]:
    pump, states = situation.pump, situation.solution.states
    response = response_for(pump)
    inner, outer = remanences(pump)
    outside: list[str] = []
    for group, liquid in enumerate(situation.liquids):
        chosen = situation.model_of == group
        outside += [*liquid.warnings, *liquid.outside(states.temperature[chosen], states.pressure[chosen])]
    found = [*response.warnings,
             *response.operating_warnings(float(situation.solved.inputs.speed.max()), shell_conductivity(pump), inner,
                                          outer),
             *bearing_findings(situation), *coupling_findings(situation),
             *messages(*operating_limits(pump, situation.solved.point, situation.solved.inputs.speed),
                       *situation.shell.limits, *situation.suction.limits,
                       *situation.driver.limits, *situation.coupling.limits, *situation.start.limits,
                       *situation.surfaces.limits, *situation.standstill.limits), *outside,
             *material_warnings(pump.shell_material, float(situation.scalars[:, solve.HOTTEST_WALL].max())),
             *_findings(situation)]
    return tuple(dict.fromkeys(found))


def _findings(situation: Situation) -> list[str]:
    """Reversed branches, in words."""
    found = []
    names = [branch.name for branch in situation.pump.network.branches]
    reversed_ = np.atleast_1d((situation.solution.states.flow < 0).any(axis=0))
    for name, backwards in zip(names, reversed_, strict=True):
        if backwards:
            found.append(told("in some case the liquid flows backwards through {name}", name=name))
    return found
