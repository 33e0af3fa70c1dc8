"""The operating window as a use case: enquiry and conditions in, window, record and table out."""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath import __version__
from wetpath.edge import quantities as q
from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.quantities import Kind
from wetpath.edge.ranges import Within
from wetpath.edge.units import METRIC, UnitSet, convert, parse, parse_list
from wetpath.errors import InputError
from wetpath.questions.parts import Cancelled, Progress
from wetpath.questions.window.basis import Suction
from wetpath.questions.window.required import DEMANDS, Spread, band_ends
from wetpath.questions.window.study import FEWEST, GRID, MOST, Asked, Search, Window, study_window
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import rate
from wetpath.services import window_record as r
from wetpath.services.places import placed
from wetpath.services.progress import Announce, announce_compiling, silent
from wetpath.services.rating import FilePath, Service, load_service
from wetpath.services.scale import Scale, runner_for

Array = NDArray[np.float64]

CAUTIONS = (
    "An aid for a competent engineer, who answers for the selection; local codes, the maker's instructions and "
    "licensed practice come first.",
    "The window is that of a steady pump as drawn: starts, worn gaps, plugged holes and gas in the liquid narrow it.",
    "A liquid that is toxic, flammable or boils below the temperature of the air needs more room than a computed edge.")


def window_of_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                    case: str | None = None, grid: str | None = None, flow: str | None = None,
                    temperature: str | None = None, suction_pressure: str | None = None,
                    above_vapour_pressure: str | None = None, speed: str | None = None, announce: Announce = silent,
                    progress: Progress | None = None, cancelled: Cancelled | None = None,
                    scale: Scale | None = None) -> Window:
    """Read an enquiry with all it refers to and work out a window; conditions are texts with units.

    Parameters
    ----------
    enquiry, pump, practice : path
        As for a rating.
    case : str, optional
        Name of the operating case the window stands on; without it the governing one.
    grid : str, optional
        Numbers of flows and temperatures, "60x40".
    flow, temperature : str, optional
        Ranges, "5 70 m3/h".
    suction_pressure, above_vapour_pressure, speed : str, optional
        In place of those of the case.
    announce, progress, cancelled : callable, optional
        Told in words what takes long; told points done and in all; asked whether to stop.
    scale : Scale, optional
        Who may help; without it this process alone.
    """
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    asked = asked_of(service.enquiry, case=case, grid=grid, flow=flow, temperature=temperature,
                     suction_pressure=suction_pressure, above_vapour_pressure=above_vapour_pressure, speed=speed)
    return window_of(service, asked, announce=announce, progress=progress, cancelled=cancelled, scale=scale)


def window_of(service: Service, asked: Asked, *, announce: Announce = silent, progress: Progress | None = None,
              cancelled: Cancelled | None = None, scale: Scale | None = None) -> Window:
    """Rate what was read, then work out its window."""
    announce_compiling(announce)
    try:
        rating = rate(service.pump, service.enquiry, service.liquid, service.practice, others=service.others,
                      full=False)
    except InputError as error:
        if not service.enquiry_file:
            raise
        raise placed(error, service.enquiry_file) from None
    try:
        with runner_for(scale, service, "window", asked) as runner:
            return study_window(rating, asked, progress=progress, cancelled=cancelled, runner=runner)
    except InputError as error:
        field = error.problem.field
        raise _named(error, field if field.startswith("--") else f"--{field}") from None


def asked_of(enquiry: Enquiry, *, case: str | None = None, grid: str | None = None, flow: str | None = None,
             temperature: str | None = None, suction_pressure: str | None = None,
             above_vapour_pressure: str | None = None, speed: str | None = None, search: Search = Search.BAND) -> Asked:
    """Read the conditions of a window from texts with units."""
    if suction_pressure and above_vapour_pressure:
        raise InputError("is given besides suction-pressure; give one of them", field="--above-vapour-pressure",
                         value=f'"{above_vapour_pressure}"')
    suction = None
    if suction_pressure:
        suction = Suction(_one(suction_pressure, q.PRESSURE, "--suction-pressure", Within(above="0 bar a"),
                               atmosphere=atmosphere_at(enquiry.site.altitude)))
    elif above_vapour_pressure:
        suction = Suction(_one(above_vapour_pressure, q.PRESSURE_DIFFERENCE, "--above-vapour-pressure",
                               Within(lower="0 bar")), above_vapour=True)
    return Asked(
        case=None if case is None else _case(enquiry, case), grid=_grid(grid) if grid else GRID,
        flow=_range(flow, q.VOLUME_FLOW, "--flow", Within(above="0 m3/h")) if flow else None,
        temperature=_range(temperature, q.TEMPERATURE, "--temperature") if temperature else None, suction=suction,
        speed=_one(speed, q.ROTATIONAL_SPEED, "--speed", Within(above="1 rpm", upper="20000 rpm")) if speed else None,
        search=search)


def _case(enquiry: Enquiry, asked: str) -> int:
    """Number of a case by its name or the beginning of it."""
    names = [one.name for one in enquiry.cases]
    fits = [names.index(asked)] if asked in names else [
        number for number, name in enumerate(names) if name.casefold().startswith(asked.casefold())]
    if len(fits) != 1:
        raise InputError("begins the names of several cases" if fits else "is not a case of this enquiry",
                         field="--case", value=f'"{asked}"', do=f"name one of {', '.join(names)}")
    return fits[0]


def _one(text: str, kind: Kind, field: str, within: Within, **site: float) -> float:
    try:
        return parse(text, kind, within=within, **site)
    except InputError as error:
        raise _named(error, field) from None


def _range(text: str, kind: Kind, field: str, within: Within | None = None) -> tuple[float, float]:
    try:
        values = parse_list(text, kind, within=within)
    except InputError as error:
        raise _named(error, field) from None
    if len(values) != 2 or values[0] >= values[1]:
        raise InputError("is not a range: two rising numbers with one unit at their end", field=field,
                         value=f'"{text}"', do='write it like "20 80 degC"' if kind is q.TEMPERATURE
                         else 'write it like "5 70 m3/h"')
    return values[0], values[1]


def _named(error: InputError, field: str) -> InputError:
    told = error.problem
    return InputError(told.text, field=field, value=told.value, why=told.why, do=told.do)


def _grid(text: str) -> tuple[int, int]:
    match = re.fullmatch(r"\s*(\d+)\s*[x×X]\s*(\d+)\s*", text)
    sizes = tuple(int(part) for part in match.groups()) if match else ()
    if len(sizes) != 2 or not all(FEWEST <= size <= MOST for size in sizes):
        raise InputError(f"is not two numbers from {FEWEST} to {MOST}", field="--grid", value=f'"{text}"',
                         do='write flows x temperatures, like "60x40"')
    return sizes[0], sizes[1]


def record_of_window(window: Window) -> r.WindowRecord:
    """Return the record of a window."""
    chart, basis = window.map, window.basis
    suction = basis.suction
    excluded = dict(chart.excluded_by())
    checks = tuple(r.CheckShareRecord(name=name, title=title, excludes=excluded.get(index, 0.0),
                                      share=_rows(chart.share_of(name)))
                   for index, (name, title) in enumerate(zip(chart.points.names, chart.points.titles, strict=True)))
    return r.WindowRecord(
        program_version=__version__, pump=window.rating.pump.name, enquiry=window.rating.enquiry.title,
        complete=window.complete,
        basis=r.BasisRecord(
            case=window.case_name, liquid=basis.liquid.name, flow_m3_per_s=basis.flow, temperature_k=basis.temperature,
            speed_rad_per_s=basis.speed, suction_pressure_pa=None if suction.above_vapour else suction.pressure,
            above_vapour_pressure_pa=suction.pressure if suction.above_vapour else None),
        map=r.MapRecord(
            flow_m3_per_s=tuple(chart.flow.tolist()), temperature_k=tuple(chart.temperature.tolist()),
            suction_pressure_pa=_row(chart.pressure), vapour_pressure_pa=_row(chart.vapour_pressure),
            holds=tuple(tuple(row) for row in chart.holds.tolist()),
            governing=tuple(tuple(row) for row in chart.governing.tolist()),
            share_that_holds=_row([chart.share_that_holds])[0], unproved_points=chart.unproved, checks=checks),
        required=_required(window), short_at_case=window.bounds.short_here,
        bounds=tuple(r.WayRecord(
            direction=way.name, unit=way.kind.si.name, start=way.start, end=way.end,
            met=tuple(r.MetRecord(name=one.name, title=one.title, at=one.at) for one in way.met))
            for way in window.bounds.ways),
        warnings=window.warnings, cautions=CAUTIONS)


def _required(window: Window) -> r.RequiredRecord:
    found = window.required
    better, worse = band_ends(window.basis)
    return r.RequiredRecord(
        flow_m3_per_s=tuple(window.required_flow.tolist()),
        temperature_k=tuple(window.required_temperature.tolist()), by_wetted_path_pa=_rows(found.pressure),
        lowest_pa=_rows(found.lowest), highest_pa=_rows(found.highest), as_npsh_available_m=_rows(found.head),
        demand_just_met=tuple(tuple("" if one < 0 else DEMANDS[one] for one in row)
                              for row in found.governing.tolist()),
        npsh3_m=_rows(found.npsh_required), npsh_with_margin_m=_rows(found.npsh_needed),
        by_npsh_pa=_rows(found.npsh_pressure), spread_to_lowest=_spread(better), spread_to_highest=_spread(worse))


def _spread(one: Spread) -> r.SpreadRecord:
    return r.SpreadRecord(feed_loss=one.feed_loss, shell_loss=one.shell_loss, wall_heat_transfer=one.film)


def _row(values: Sequence[float] | Array) -> r.Row:
    return tuple(float(value) if np.isfinite(value) else None for value in values)


def _rows(values: Array) -> tuple[r.Row, ...]:
    return tuple(_row(row) for row in values)


#: Columns of the table beside those that have no unit.
_COLUMNS: tuple[tuple[str, Kind], ...] = (
    ("flow", q.VOLUME_FLOW), ("temperature", q.TEMPERATURE), ("suction pressure", q.PRESSURE),
    ("vapour pressure", q.PRESSURE))
_NEEDED: tuple[tuple[str, str, Kind], ...] = (
    ("needed by the wetted path", "pressure", q.PRESSURE), ("its lowest", "lowest", q.PRESSURE),
    ("its highest", "highest", q.PRESSURE), ("needed above vapour pressure", "above_vapour", q.PRESSURE_DIFFERENCE),
    ("the same as NPSH", "head", q.HEAD), ("NPSH3", "npsh_required", q.HEAD),
    ("NPSH with margin", "npsh_needed", q.HEAD), ("needed by NPSH", "npsh_pressure", q.PRESSURE))


def write_table(window: Window, target: str | os.PathLike[str], units: UnitSet = METRIC) -> None:
    """Write the window as CSV, one line a point, units in the heading, nothing where there is no number.

    Of a grid finer than the search of the required pressure the points between its nodes have nothing there.
    """
    chart, found = window.map, window.required

    def head(name: str, kind: Kind) -> str:
        return f"{name} [{units.unit(kind).name}{' a' if kind is q.PRESSURE else ''}]"

    def told(values: Any, kind: Kind) -> list[str]:
        shown = np.asarray(convert(np.asarray(values), kind, units.unit(kind).name))
        return [f"{value:.6g}" if np.isfinite(value) else "" for value in np.atleast_1d(shown)]

    axes = np.meshgrid(chart.flow, chart.temperature, indexing="ij")
    wide = [np.broadcast_to(values, chart.shape) for values in (chart.pressure, chart.vapour_pressure)]
    columns = [told(values.ravel(), kind) for values, (_, kind) in zip([*axes, *wide], _COLUMNS, strict=True)]
    columns.append(["yes" if one else "no" for one in chart.points.holds])
    columns.append(["" if one < 0 else chart.points.names[one] for one in chart.points.governing])
    columns.append(told(chart.points.governing_share, q.NUMBER))
    for _, name, kind in _NEEDED:
        full = np.full(chart.shape, np.nan)
        full[::window.stride, ::window.stride] = getattr(found, name)
        columns.append(told(full.ravel(), kind))
    just_met = np.full(chart.shape, "", object)
    just_met[::window.stride, ::window.stride] = np.array([*DEMANDS, ""], object)[found.governing]
    columns.append(just_met.ravel().tolist())
    headings = [*(head(*one) for one in _COLUMNS), "every check holds", "governing check", "its margin over its scale",
                *(head(name, kind) for name, _, kind in _NEEDED), "demand just met"]
    try:
        with Path(target).open("w", encoding="utf-8", newline="") as file:
            rows = csv.writer(file)
            rows.writerow(headings)
            rows.writerows(row for row, rated in zip(zip(*columns, strict=True), chart.rated.ravel(), strict=True)
                           if rated)
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--csv", value=f'"{target}"') from None
