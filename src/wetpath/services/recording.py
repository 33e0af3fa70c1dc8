"""Builds the record of a rating."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from wetpath import __version__
from wetpath.circulation import annulus_cells, solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.files import dump_document
from wetpath.liquids.liquid import Liquid
from wetpath.rating.check import Check
from wetpath.rating.rate import Rating
from wetpath.services import record as r
from wetpath.services import recording_states as states
from wetpath.services.cautions import cautions_of
from wetpath.services.rating import FileOrigin, liquid_of
from wetpath.services.sources import sources_of
from wetpath.services.standing import standing_of, station_standing, wall_standing

#: Points of the vapour curve that goes with a trace, and the least spread to each side of it [K].
CURVE_POINTS, CURVE_SPREAD = 41, 4.0


def record_of(rating: Rating, files: Sequence[FileOrigin] = ()) -> r.Record:
    """Return the record of a rating; ``files`` are those it was read from, if any."""
    verdict = rating.verdict
    return r.Record(
        program_version=__version__, title=rating.enquiry.title, pump=rating.pump.name,
        verdict=r.VerdictRecord(headline=str(verdict.headline), sentence=verdict.sentence, holds=verdict.holds,
                                check=verdict.check.name, case=verdict.case_name, failing=verdict.failing),
        cases=tuple(_case(rating, number) for number in range(len(rating.case_names))),
        checks=tuple(_check(check, rating.case_names) for check in rating.checks),
        warnings=rating.warnings, cautions=cautions_of(rating), liquids=_liquids(rating), practice=_practice(rating),
        sources=tuple(r.SourceRecord(**vars(use)) for use in sources_of(rating)), inputs=_inputs(rating, files))


def note_on(outcome: Outcome) -> str:
    """What must be known of the values of a case that ends like this."""
    if outcome is Outcome.NO_SOLUTION:
        return "no liquid solution: the values are those of the last state that closed, with part of the heat only"
    return ""


def _case(rating: Rating, number: int) -> r.CaseRecord:
    situation, solution = rating.situation, rating.situation.solution
    lost_at = int(solution.lost_at[number])
    missing = rating.missing
    case, outcome = rating.enquiry.cases[number], rating.outcomes[number]
    return r.CaseRecord(
        name=case.name, role=case.role, liquid=liquid_of(rating, number).name,
        outcome=outcome.name.lower().replace("_", " "), outcome_words=outcome.words,
        note=note_on(outcome), lost_at=situation.pump.network.stations[lost_at] if lost_at >= 0 else None,
        lost_at_share_of_heat=_known(solution.lost_share[number]), operating_point=_point(rating, number),
        losses=_losses(rating, number), coupling=_coupling(rating, number),
        branches=_branches(rating, number), trace=_trace(rating, number), annulus=_annulus(rating, number),
        wall=_wall(rating, number), vapour_curve=_vapour_curve(rating, number),
        missing_to_liquid=_missing(liquid_of(rating, number), missing.pressure_to_liquid[number],
                                   missing.cooling_to_liquid[number]),
        missing_to_practice=_missing(liquid_of(rating, number), missing.pressure_to_practice[number],
                                     missing.cooling_to_practice[number]),
        flow_limits=states.flow_limits_of(rating, number), suction=states.suction_of(rating, number),
        bearings=states.bearings_of(rating, number), start=states.start_of(rating, number),
        shell=states.shell_of(rating, number), driver=states.driver_of(rating, number),
        surfaces=states.surfaces_of(rating, number), standstill=states.standstill_of(rating, number))


def _point(rating: Rating, case: int) -> r.OperatingPointRecord:
    point, inputs, situation = rating.point, rating.inputs, rating.situation
    return r.OperatingPointRecord(
        flow_m3_per_s=inputs.flow[case], temperature_k=inputs.temperature[case],
        suction_pressure_pa=inputs.pressure[case], speed_rad_per_s=inputs.speed[case],
        density_kg_per_m3=situation.scalars[case, solve.DENSITY_IN], head_m=point.head[case],
        head_asked_m=_known(situation.demands.head[case]), shut_off_head_m=point.shut_off_head[case],
        efficiency=point.efficiency[case], npsh_required_m=point.npsh_required[case],
        npsh_available_m=_known(situation.npsh_available[case]), best_flow_m3_per_s=point.best_flow[case],
        flow_over_best_flow=point.flow_share[case])


def _losses(rating: Rating, case: int) -> r.LossesRecord:
    names = ("hydraulic", "wet_end", "eddy", "annulus_drag", "disc_drag", "journals", "thrust_faces", "dry_side",
             "shaft", "eddy_to_air", "circulation_heat")
    powers: dict[str, Any] = {f"{name}_w": float(getattr(rating.losses, name)[case]) for name in names}
    return r.LossesRecord(**powers, efficiency=rating.losses.efficiency[case])


def _coupling(rating: Rating, case: int) -> r.CouplingRecord:
    losses, scalars = rating.losses, rating.situation.scalars[case]
    angle = math.degrees(losses.load_angle[case])
    return r.CouplingRecord(
        torque_n_m=losses.torque[case], load_angle_electrical_deg=angle,
        load_angle_mechanical_deg=angle / (rating.pump.inner_ring.poles // 2),
        pull_out_torque_n_m=losses.pull_out[case],
        pull_out_over_torque=losses.coupling_ratio[case], inner_magnets_k=scalars[solve.INNER_RING],
        outer_magnets_k=scalars[solve.OUTER_RING])


def _branches(rating: Rating, case: int) -> tuple[r.BranchRecord, ...]:
    return tuple(
        r.BranchRecord(name=one.name, kind=entry.kind, bearing=getattr(entry, "bearing", None), start=one.start,
                       end=one.end, flow_kg_per_s=one.flow, heat_w=one.heat)
        for one, entry in zip(rating.branches(case), rating.pump.entries_of_branches, strict=True))


def _trace(rating: Rating, case: int) -> tuple[r.StationRecord, ...]:
    liquid = liquid_of(rating, case)
    reason = "" if liquid.has_vapour_pressure else _vapour_pressure_unknown(liquid)
    return tuple(r.StationRecord(
        name=one.name, title=one.title, pressure_pa=one.pressure, temperature_k=one.temperature,
        vapour_pressure_pa=_known(one.vapour_pressure), margin_pa=_known(one.pressure_margin),
        margin_m=_known(one.head_margin), margin_k=_known(one.temperature_margin),
        wall_temperature_k=_known(one.wall_temperature), wall_margin_k=_known(one.wall_margin), flow_kg_per_s=one.flow,
        standing=station_standing(one, rating.practice), reason=reason) for one in rating.trace(case))


def _annulus(rating: Rating, case: int) -> tuple[r.AnnulusCellRecord, ...]:
    rows, margins = rating.situation.cells[case], rating.situation.wall_margin[case]
    return tuple(r.AnnulusCellRecord(
        along=(cell + 0.5) / margins.size, pressure_pa=rows[annulus_cells.CELL_PRESSURE, cell],
        temperature_k=rows[annulus_cells.CELL_LIQUID, cell], wall_temperature_k=rows[annulus_cells.CELL_WALL, cell],
        wall_margin_k=_known(margin), heat_to_liquid_w=rows[annulus_cells.CELL_TO_LIQUID, cell],
        heat_to_air_w=rows[annulus_cells.CELL_TO_AIR, cell], standing=wall_standing(float(margin), rating.practice))
        for cell, margin in enumerate(margins))


def _vapour_curve(rating: Rating, case: int) -> r.VapourCurveRecord:
    liquid = liquid_of(rating, case)
    if not liquid.has_vapour_pressure:
        return r.VapourCurveRecord(temperature_k=(), pressure_pa=())
    reached = [one.temperature for one in rating.trace(case)]
    reached.extend(rating.situation.cells[case, annulus_cells.CELL_WALL])
    spread = max(float(np.ptp(reached)), CURVE_SPREAD)
    low, high = liquid.temperature_range
    temperatures = np.linspace(max(min(reached) - spread, low), min(max(reached) + spread, high), CURVE_POINTS)
    return r.VapourCurveRecord(temperature_k=tuple(temperatures),
                               pressure_pa=tuple(liquid.vapour_pressure(temperatures)))


def _wall(rating: Rating, case: int) -> r.WallRecord:
    margins = rating.situation.wall_margin[case]
    walls = rating.situation.cells[case, annulus_cells.CELL_WALL]
    cell = int(np.argmax(walls) if np.isnan(margins).all() else np.nanargmin(margins))
    return r.WallRecord(along=(cell + 0.5) / walls.size, temperature_k=walls[cell], margin_k=_known(margins[cell]))


def _missing(liquid: Liquid, pressure: float, cooling: float) -> r.MissingRecord:
    if not liquid.has_vapour_pressure:
        reason = _vapour_pressure_unknown(liquid)
    else:
        reason = "; ".join(text for value, text in (
            (pressure, "no suction pressure that was tried is enough"),
            (cooling, "no temperature that was tried is low enough")) if math.isnan(value))
    return r.MissingRecord(suction_pressure_pa=_known(pressure), cooling_k=_known(cooling), reason=reason)


def _check(check: Check, names: Sequence[str]) -> r.CheckRecord:
    return r.CheckRecord(
        name=check.name, title=check.title, subject=check.subject, quantity=check.kind.name, unit=check.kind.si.name,
        margin_quantity=check.difference_kind.name,
        margin_unit=check.difference_kind.si.name, sense=check.sense, source=check.source, status=check.status,
        meaning=check.meaning, remedy=check.remedy, holds=bool(check.holds.all()), worst_case=names[check.worst_case],
        cases=tuple(_check_case(check, number, name) for number, name in enumerate(names)))


def _check_case(check: Check, case: int, name: str) -> r.CheckCaseRecord:
    actual, limit, asked = float(check.actual[case]), float(check.limit[case]), bool(check.applies[case])
    reason = ""
    if not asked:
        reason = "not asked of this case"
    elif math.isnan(actual):
        reason = "the actual value cannot be told"
    elif math.isnan(limit):
        reason = "the limit is not known here"
    return r.CheckCaseRecord(
        case=name, asked=asked, actual=_known(actual), limit=_known(limit), margin=_known(check.margin[case]),
        share=_known(check.share[case]), holds=bool(check.holds[case]), standing=standing_of(check, case),
        where=check.where[case], reason=reason)


def _liquids(rating: Rating) -> tuple[r.LiquidRecord, ...]:
    names = ["", *(other.name for other in rating.enquiry.other_liquids)]
    return tuple(_liquid(name, liquid) for name, liquid in zip(names, rating.situation.liquids, strict=True))


def _liquid(called: str, liquid: Liquid) -> r.LiquidRecord:
    low, high = liquid.temperature_range
    return r.LiquidRecord(
        called=called, name=liquid.name, kind=liquid.kind, cas_number=liquid.cas_number,
        molar_mass_kg_per_mol=liquid.molar_mass,
        content_sha256=liquid.content_hash, lowest_temperature_k=low, highest_temperature_k=high,
        vapour_pressure_known=liquid.has_vapour_pressure,
        table_errors={name: _known(value) for name, value in vars(liquid.table_errors).items()},
        limits_k=dict(vars(liquid.limits)),
        properties=tuple(r.PropertyRecord(name=name, text=origin.text, source=origin.key, status=origin.status)
                         for name, origin in liquid.origins.items()))


def _practice(rating: Rating) -> r.PracticeRecord:
    return r.PracticeRecord(name=rating.practice.name, limits=tuple(
        r.LimitRecord(name=limit.name, value=limit.value, quantity=limit.kind.name, unit=limit.kind.si.name,
                      sense=limit.sense, source=limit.source, status=limit.status)
        for limit in rating.practice.values()))


def _inputs(rating: Rating, files: Sequence[FileOrigin]) -> tuple[r.InputRecord, ...]:
    enquiry = rating.enquiry.model_copy(update={"pump_file": "", "practice_file": ""})
    contents = {"enquiry": dump_document(enquiry), "pump": dump_document(rating.pump)}
    origins = {file.role: file for file in files}
    found = []
    for role in ("enquiry", "pump", "liquid", "practice"):
        origin, content = origins.get(role), contents.get(role)
        if origin is not None or content is not None:
            sha256 = origin.sha256 if origin else hashlib.sha256((content or "").encode()).hexdigest()
            found.append(r.InputRecord(role=role, file=origin.name if origin else None, sha256=sha256, content=content))
    return tuple(found)


def _vapour_pressure_unknown(liquid: Liquid) -> str:
    return f"the vapour pressure of {liquid.name} is not known"


def _known(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
