"""All candidates of a selection solved together, and the checks that can be made of all of them at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.batch import BatchArrays, empty_batch
from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.outcome import Outcome
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.edge.practice import Practice
from wetpath.edge.quantities import Kind
from wetpath.liquids.liquid import Liquid
from wetpath.machine.branches import ImpellerTap
from wetpath.questions.selection.candidates import (
    Candidate,
    CatalogueEntry,
    Choices,
    builds_of,
    diameters_of,
    speeds_of,
)
from wetpath.rating.check import Check
from wetpath.rating.checks import coupling, driver, hydraulics, liquid_limits, vapour
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.operating_point import OperatingPoint, operating_point
from wetpath.rating.pump_model import Inputs, PumpModel, Solved, per_group
from wetpath.rating.rate import case_inputs
from wetpath.rating.situation import Demands, Situation

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
#: Told how many are done, of how many; asked between pieces of work whether to stop.
Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]

#: Cases solved between two looks at whether to stop.
CHUNK = 2048
#: Standing of cases that were not solved because it was stopped.
NOT_SOLVED = -1
#: The checks of the screening. None of them looks at what the candidates of one pump file differ in, but through what
#: was solved; inertias that the pump file does not give are estimated for its first build.
SCREENED: tuple[Callable[[Situation], Check], ...] = (
    vapour.circulation_runs, vapour.pressure_margin, vapour.temperature_margin, vapour.wall_margin,
    liquid_limits.onset_at_wall, liquid_limits.coldest, liquid_limits.table_reach,
    hydraulics.head, hydraulics.npsh, hydraulics.lowest_flow, hydraulics.highest_flow, hydraulics.preferred_lowest,
    hydraulics.preferred_highest, hydraulics.rated_lowest, hydraulics.rated_highest, hydraulics.head_growth,
    coupling.running_margin, coupling.starting_margin, coupling.inner_magnets, coupling.outer_magnets, driver.nameplate)
_CIRCULATION, _PRESSURE, _NPSH = 0, 1, SCREENED.index(hydraulics.npsh)


@dataclass(frozen=True, eq=False)
class Screening:
    """What all candidates were found to have; arrays have the candidate last."""

    candidates: tuple[Candidate, ...]
    names: tuple[str, ...]             # of the checks, first axis of `share` and `margin`; none if nothing was solved
    titles: tuple[str, ...]
    kinds: tuple[Kind, ...]            # of their margins
    share: Array                       # least share of every check over the cases; NaN: not asked or not known
    margin: Array                      # margin there, SI
    case: Integers                     # case there
    lost: NDArray[np.bool_]            # some case closed with no liquid
    made: NDArray[np.bool_]            # false: stopped before its pump file was solved
    power: Array                       # mean shaft power of rated and normal cases, else of all [W]
    refused: tuple[str, ...]           # what cannot be built, in words

    @property
    def vapour_margin(self) -> Array:
        """Least pressure above vapour pressure, less the demand [Pa]."""
        return self.margin[_PRESSURE]

    @property
    def npsh_margin(self) -> Array:
        """Least NPSH available, less what is needed [m]."""
        return self.margin[_NPSH]

    @property
    def passed(self) -> NDArray[np.bool_]:
        """Candidates of which no check is short; one that cannot be told is left to the full rating."""
        return self.made & ~self.lost & ~(self.share < 0).any(axis=0)

    @property
    def reason(self) -> Integers:
        """The check each candidate falls out by: no liquid, else the least share; -1 where it passed."""
        least = np.where(np.isnan(self.share), np.inf, self.share).argmin(axis=0)
        reason = np.where(self.lost, _CIRCULATION, least)
        return np.where(self.passed | ~self.made, -1, reason)


@dataclass(frozen=True, eq=False)
class _Prepared:
    """The candidates of one pump file, ready to be solved; cases of one candidate stand together."""

    candidates: tuple[Candidate, ...]
    models: tuple[PumpModel, ...]
    model_of: Integers
    machine: MachineArrays             # one row a candidate
    inputs: Inputs
    point: OperatingPoint


def screen(catalogue: Sequence[CatalogueEntry], enquiry: Enquiry, liquids: Mapping[str, Liquid], demands: Demands,
           practice: Practice, choices: Choices, *, progress: Progress | None = None, cancelled: Cancelled | None = None
           ) -> Screening:
    """Make every candidate of a catalogue, solve all of them, and make the checks of the screening.

    Parameters
    ----------
    catalogue : sequence of CatalogueEntry
    enquiry : Enquiry
    liquids : mapping
        Liquids by the names the cases call them, that of the enquiry first, under "".
    demands : Demands
        Of the cases of the enquiry.
    practice : Practice
    choices : Choices
    progress, cancelled : callable, optional

    Notes
    -----
    A case that does not close from its first guess counts as without liquid, unproved.
    """
    prepared, refused = [], []
    for entry in catalogue:
        found, words = _prepare(entry, enquiry, liquids, demands, choices)
        prepared += found
        refused += words
    groups: dict[tuple[bytes, ...], list[_Prepared]] = {}
    for one in prepared:
        topology = one.models[0].pump.network.topology
        groups.setdefault(tuple(array.tobytes() for array in topology), []).append(one)
    total, done, parts = sum(one.inputs.flow.size for one in prepared), 0, []
    for group in groups.values():
        def told(here: int, before: int = done) -> None:
            if progress is not None:
                progress(before + here, total)
        solution = _solved(group, told, cancelled)
        first = 0
        for one in group:
            last = first + one.inputs.flow.size
            parts.append(_checked(one, _part(solution, slice(first, last)), demands, practice))
            first = last
        done += first
    return replace(_joined(parts), refused=tuple(refused))


def _prepare(entry: CatalogueEntry, enquiry: Enquiry, liquids: Mapping[str, Liquid], demands: Demands, choices: Choices
             ) -> tuple[list[_Prepared], list[str]]:
    builds, refused = builds_of(entry, choices, enquiry.site.frequency)
    if not builds:
        return [], refused
    pump, names = builds[0].pump, list(liquids)
    model_of = np.array([names.index(case.liquid) for case in enquiry.cases], np.int64)
    drawn = case_inputs(pump, enquiry, [liquids[case.liquid] for case in enquiry.cases])
    viscosity = per_group(model_of, lambda group, chosen: _viscosity(liquids[names[group]], drawn.chosen(chosen)))
    given = np.array([bool(case.speed) for case in enquiry.cases])
    pairs, points, inputs = [], [], []
    for speed in speeds_of(pump, choices.speeds):
        at = drawn.changed(speed=np.where(given, drawn.speed, speed))
        for diameter in diameters_of(pump, at, viscosity, demands.head, choices.trims):
            pairs.append((diameter, speed))
            inputs.append(at)
            points.append(operating_point(pump, at.flow, at.speed, viscosity, diameter=diameter))
    candidates = tuple(Candidate(build, *pair) for build in builds for pair in pairs)
    copies = len(builds)
    point = OperatingPoint(**{one.name: np.tile(np.concatenate([getattr(each, one.name) for each in points]), copies)
                              for one in fields(OperatingPoint) if one.name != "limits"}, limits=())
    joined = Inputs(*(np.tile(np.concatenate([getattr(each, one.name) for each in inputs]), copies)
                      for one in fields(Inputs)))
    return [_Prepared(candidates, tuple(PumpModel(pump, liquid) for liquid in liquids.values()),
                      np.tile(model_of, len(candidates)), candidate_arrays(candidates), joined, point)], refused


def _viscosity(liquid: Liquid, inputs: Inputs) -> Array:
    state = liquid.state(inputs.temperature, inputs.pressure)
    return np.asarray(state.viscosity / state.density)


def candidate_arrays(candidates: Sequence[Candidate]) -> MachineArrays:
    """Arrays of the coupled solve, one row a candidate, of candidates of one pump file.

    Those of each build are worked out once; a trim changes the side room of the impeller and nothing else in them.
    """
    builds = list(dict.fromkeys(one.build for one in candidates))
    number = {build: place for place, build in enumerate(builds)}
    which = np.array([number[one.build] for one in candidates])
    machine = MachineArrays(*(array[which] for array in machine_arrays([build.pump for build in builds])))
    radius = np.array([one.diameter / 2 for one in candidates])
    for place, tap in enumerate(builds[0].pump.taps):
        if isinstance(tap, ImpellerTap):
            machine.taps[:, place, solve.SIDE_ROOM_OUTER] = radius
    return machine


def _solved(group: Sequence[_Prepared], told: Callable[[int], None], cancelled: Cancelled | None) -> Solution:
    """Solve pumps of one topology together, liquid by liquid, in few large batches."""
    models, topology = group[0].models, group[0].models[0].pump.network.topology
    machine = MachineArrays(*(np.concatenate(parts) for parts in zip(*(one.machine for one in group), strict=True)))
    flow, temperature, pressure, speed, air = (
        np.concatenate([getattr(one.inputs, each.name) for one in group]) for each in fields(Inputs))
    count, candidates = flow.size, machine.shell.shape[0]
    cases = CaseArrays(pump=np.repeat(np.arange(candidates), count // candidates), flow=flow, temperature=temperature,
                       pressure=pressure, speed=speed, head=np.concatenate([one.point.head for one in group]),
                       efficiency=np.concatenate([one.point.efficiency for one in group]), air=air,
                       heat_scale=np.ones(count))
    model_of = np.concatenate([one.model_of for one in group])
    states = empty_batch(count, topology.kind.size, topology.unknown.size, machine.inner.shape[1])
    outcome, done = np.full(count, NOT_SOLVED, np.int64), 0
    for liquid in np.unique(model_of):
        own = np.flatnonzero(model_of == liquid)
        for first in range(0, own.size, CHUNK):
            if cancelled is not None and cancelled():
                return Solution(states, outcome, np.full(count, np.nan), np.full(count, -1, np.int64))
            chosen = own[first:first + CHUNK]
            part = CaseArrays(*(array[chosen] for array in cases))  # type: ignore[arg-type]
            found = solve_cases(topology, machine, models[liquid].liquid.arrays, part, prove=False)
            states.put(chosen, found.states)
            outcome[chosen] = found.outcome
            done += chosen.size
            told(done)
    return Solution(states, outcome, np.full(count, np.nan), np.full(count, -1, np.int64))


def _part(solution: Solution, chosen: slice) -> Solution:
    return Solution(BatchArrays(*(array[chosen] for array in solution.states)), solution.outcome[chosen],
                    solution.lost_share[chosen], solution.lost_at[chosen])


def _checked(one: _Prepared, solution: Solution, demands: Demands, practice: Practice) -> Screening:
    """Make the checks of the screening of all candidates of one pump file."""
    candidates, cases = len(one.candidates), demands.head.size
    if (solution.outcome == NOT_SOLVED).any():
        return _not_screened(one.candidates)

    def each(values: NDArray[Any]) -> NDArray[Any]:
        return np.tile(values, candidates)

    asked = replace(demands, head=each(demands.head), in_preferred=each(demands.in_preferred),
                    rated=each(demands.rated), works_test=each(demands.works_test),
                    supervised=each(demands.supervised), flushes=None, vessels=None)
    situation = Situation(one.models, one.model_of, Solved(one.inputs, one.point, solution), asked, practice)
    checks = [make(situation) for make in SCREENED]
    share, margin = (np.array([getattr(each, name) for each in checks]).reshape(-1, candidates, cases)
                     for name in ("share", "margin"))
    worst = np.where(np.isnan(share), np.inf, share).argmin(axis=2)
    outcome = solution.outcome.reshape(candidates, cases)
    counted = demands.in_preferred if demands.in_preferred.any() else np.ones(cases, bool)
    return Screening(
        one.candidates, tuple(each.name for each in checks), tuple(each.title for each in checks),
        tuple(each.difference_kind for each in checks),
        np.take_along_axis(share, worst[..., None], axis=2)[..., 0],
        np.take_along_axis(margin, worst[..., None], axis=2)[..., 0], worst,
        (outcome == Outcome.NO_SOLUTION).any(axis=1), np.ones(candidates, bool),
        situation.losses.shaft.reshape(candidates, cases)[:, counted].mean(axis=1), ())


def _not_screened(candidates: tuple[Candidate, ...]) -> Screening:
    """The candidates of a pump file that was not solved to its end before it was stopped."""
    nothing, none = np.full((len(SCREENED), len(candidates)), np.nan), np.zeros(len(candidates), bool)
    return Screening(candidates, (), (), (), nothing, nothing, np.zeros(nothing.shape, np.int64), none, none,
                     np.full(len(candidates), np.nan), ())


def _joined(parts: Sequence[Screening]) -> Screening:
    if not parts:
        return _not_screened(())
    first = max(parts, key=lambda part: len(part.names))

    def along(name: str) -> Any:
        return np.concatenate([getattr(part, name) for part in parts], axis=-1)

    return Screening(tuple(one for part in parts for one in part.candidates), first.names, first.titles, first.kinds,
                     along("share"), along("margin"), along("case"), along("lost"), along("made"), along("power"), ())
