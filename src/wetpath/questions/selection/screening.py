"""All candidates of a selection solved together, and the checks that can be made of all of them at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.batch import empty_batch
from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.outcome import Outcome
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.edge.practice import Practice
from wetpath.edge.quantities import KINDS, NUMBER, Kind
from wetpath.liquids.liquid import Liquid
from wetpath.machine.branches import ImpellerTap
from wetpath.questions.parts import Cancelled, Progress, Result, Runner, Work, run_here, slices
from wetpath.questions.selection.candidates import (
    Build,
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

#: Pump files screened between two looks at whether to stop.
TOGETHER = 4
#: The checks of the screening. None of them looks at what the candidates of one pump file differ in, but through what
#: was solved; inertias that the pump file does not give are estimated for its first build.
SCREENED: tuple[Callable[[Situation], Check], ...] = (
    vapour.circulation_runs, vapour.pressure_margin, vapour.temperature_margin, vapour.wall_margin,
    liquid_limits.onset_at_wall, liquid_limits.coldest, liquid_limits.table_reach,
    hydraulics.head, hydraulics.npsh, hydraulics.lowest_flow, hydraulics.highest_flow, hydraulics.preferred_lowest,
    hydraulics.preferred_highest, hydraulics.rated_lowest, hydraulics.rated_highest, hydraulics.head_growth,
    coupling.running_margin, coupling.starting_margin, coupling.inner_magnets, coupling.outer_magnets, driver.nameplate)
_KINDS = {**KINDS, NUMBER.name: NUMBER}
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
    power: Array                       # mean shaft power of rated and normal cases, else of all [W]
    refused: tuple[str, ...]           # what cannot be built, in words
    left: int                          # pump files not looked at because it was stopped

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
        return ~self.lost & ~(self.share < 0).any(axis=0)

    @property
    def reason(self) -> Integers:
        """The check each candidate falls out by: no liquid, else the least share; -1 where it passed."""
        least = np.where(np.isnan(self.share), np.inf, self.share).argmin(axis=0)
        reason = np.where(self.lost, _CIRCULATION, least)
        return np.where(self.passed, -1, reason)


@dataclass(frozen=True, eq=False)
class _Prepared:
    """The candidates of one pump file, ready to be solved; cases of one candidate stand together."""

    builds: tuple[Build, ...]
    candidates: tuple[Candidate, ...]
    models: tuple[PumpModel, ...]
    model_of: Integers
    machine: MachineArrays             # one row a candidate
    inputs: Inputs
    point: OperatingPoint


def screen(catalogue: Sequence[CatalogueEntry], enquiry: Enquiry, liquids: Mapping[str, Liquid], demands: Demands,
           practice: Practice, choices: Choices, *, progress: Progress | None = None,
           cancelled: Cancelled | None = None, runner: Runner = run_here) -> Screening:
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
        Told pump files screened and in all; asked between parts whether to stop.
    runner : Runner
        Does the parts; who does them does not change a digit.

    Notes
    -----
    A case that does not close from its first guess counts as without liquid, unproved.
    """
    cut = slices(len(catalogue), TOGETHER)
    asked = Asked(enquiry, liquids, demands, practice, choices)
    work = Work("pump files", screen_part, asked, [tuple(catalogue[chunk]) for chunk in cut],
                [chunk.stop - chunk.start for chunk in cut])
    done, candidates = [], list[Candidate]()
    left = 0
    for entries, part in zip(work.chunks, runner(work, progress, cancelled), strict=True):
        if part is None:
            left += len(entries)
        else:
            done.append(part)
            candidates += _candidates(part, entries, enquiry)
    return _joined(done, tuple(candidates), left)


@dataclass(frozen=True, eq=False)
class Asked:
    """What is asked of every pump file."""

    enquiry: Enquiry
    liquids: Mapping[str, Liquid]
    demands: Demands
    practice: Practice
    choices: Choices


def screen_part(asked: Asked, entries: Sequence[CatalogueEntry]) -> Result:
    """Make all candidates of some pump files, solve them, and make the checks of the screening."""
    found, refused, builds = [_nothing_screened()], list[str](), 0
    for place, entry in enumerate(entries):
        one, words = _prepare(entry, asked.enquiry, asked.liquids, asked.demands, asked.choices)
        refused += words
        if one is not None:
            found.append(_checked(one, _solved(one), asked.demands, asked.practice) | _described(one, place, builds))
            builds += len(one.builds)
    filled = found[1:] or found
    own = {name: filled[0][name] for name in ("names", "titles", "kinds")}
    joined = {name: np.concatenate([part[name] for part in filled], axis=-1) for name in filled[0] if name not in own}
    return own | joined | {"refused": np.array(refused, str)}


def _described(one: _Prepared, place: int, first: int) -> Result:
    """The candidates of a pump file in numbers, to be made again where they are shown."""
    number = {build: first + row for row, build in enumerate(one.builds)}
    return {"entry": np.full(len(one.builds), place), "material": np.array([build.material for build in one.builds]),
            "length": np.array([build.length for build in one.builds]),
            "build": np.array([number[candidate.build] for candidate in one.candidates]),
            "diameter": np.array([candidate.diameter for candidate in one.candidates]),
            "speed": np.array([candidate.speed for candidate in one.candidates])}


def _candidates(part: Result, entries: Sequence[CatalogueEntry], enquiry: Enquiry) -> list[Candidate]:
    builds = [Build(entries[int(place)], str(material), float(length), enquiry.site.frequency)
              for place, material, length in zip(part["entry"], part["material"], part["length"], strict=True)]
    return [Candidate(builds[int(build)], float(diameter), float(speed))
            for build, diameter, speed in zip(part["build"], part["diameter"], part["speed"], strict=True)]


def _prepare(entry: CatalogueEntry, enquiry: Enquiry, liquids: Mapping[str, Liquid], demands: Demands, choices: Choices
             ) -> tuple[_Prepared | None, list[str]]:
    builds, refused = builds_of(entry, choices, enquiry.site.frequency)
    if not builds:
        return None, refused
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
                              for one in fields(OperatingPoint)})
    joined = Inputs(*(np.tile(np.concatenate([getattr(each, one.name) for each in inputs]), copies)
                      for one in fields(Inputs)))
    return _Prepared(tuple(builds), candidates, tuple(PumpModel(pump, liquid) for liquid in liquids.values()),
                     np.tile(model_of, len(candidates)), candidate_arrays(candidates), joined, point), refused


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


def _solved(one: _Prepared) -> Solution:
    """Solve all candidates of a pump file, liquid by liquid, each in one batch."""
    topology, machine, count = one.models[0].pump.network.topology, one.machine, one.inputs.flow.size
    candidates = machine.shell.shape[0]
    cases = CaseArrays(pump=np.repeat(np.arange(candidates), count // candidates), head=one.point.head,
                       efficiency=one.point.efficiency, heat_scale=np.ones(count),
                       **{each.name: getattr(one.inputs, each.name) for each in fields(Inputs)})
    states = empty_batch(count, topology.kind.size, topology.unknown.size, machine.inner.shape[1])
    outcome = np.empty(count, np.int64)
    for liquid in np.unique(one.model_of):
        chosen = np.flatnonzero(one.model_of == liquid)
        part = CaseArrays(*(array[chosen] for array in cases))  # type: ignore[arg-type]
        found = solve_cases(topology, machine, one.models[liquid].liquid.arrays, part, prove=False)
        states.put(chosen, found.states)
        outcome[chosen] = found.outcome
    return Solution(states, outcome, np.full(count, np.nan), np.full(count, -1, np.int64))


def _checked(one: _Prepared, solution: Solution, demands: Demands, practice: Practice) -> Result:
    """Make the checks of the screening of all candidates of one pump file."""
    candidates, cases = len(one.candidates), demands.head.size

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
    return {"names": np.array([each.name for each in checks]), "titles": np.array([each.title for each in checks]),
            "kinds": np.array([each.difference_kind.name for each in checks]),
            "share": np.take_along_axis(share, worst[..., None], axis=2)[..., 0],
            "margin": np.take_along_axis(margin, worst[..., None], axis=2)[..., 0], "case": worst,
            "lost": (outcome == Outcome.NO_SOLUTION).any(axis=1),
            "power": situation.losses.shaft.reshape(candidates, cases)[:, counted].mean(axis=1)}


def _nothing_screened() -> Result:
    """The arrays of pump files of which nothing can be built."""
    text, number, rows = np.empty(0, str), np.empty(0), np.empty((len(SCREENED), 0))
    return {"names": text, "titles": text, "kinds": text, "share": rows, "margin": rows,
            "case": np.empty(rows.shape, np.int64), "lost": np.empty(0, bool), "power": number,
            "entry": np.empty(0, np.int64), "material": text, "length": number, "build": np.empty(0, np.int64),
            "diameter": number, "speed": number}


def _joined(parts: Sequence[Result], candidates: tuple[Candidate, ...], left: int) -> Screening:
    parts = parts or [_nothing_screened() | {"refused": np.empty(0, str)}]
    names, titles, kinds = (max((tuple(part[name].tolist()) for part in parts), key=len)
                            for name in ("names", "titles", "kinds"))
    share, margin, case, lost, power = (np.concatenate([part[name] for part in parts], axis=-1)
                                        for name in ("share", "margin", "case", "lost", "power"))
    refused = tuple(str(words) for part in parts for words in part["refused"])
    return Screening(candidates, names, titles, tuple(_KINDS[name] for name in kinds), share, margin, case, lost, power,
                     refused, left)
