"""The purchaser's side of the data sheet: service, site, operating cases, liquids, solids, protection."""

from __future__ import annotations

import numpy as np

from wetpath.circulation import solve
from wetpath.edge import quantities as q
from wetpath.liquids.liquid import Liquid
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import Block, Cell, Line, computed, given, line
from wetpath.words import joined, told

_LIMIT_TITLES = {"solidification": "solidifies at", "crystallisation": "crystallises at",
                 "decomposition": "decomposes at", "polymerisation": "polymerises at", "autoignition": "ignites at"}


def purchaser_blocks(rating: Rating) -> tuple[Block, ...]:
    """Blocks that the purchaser fills in, in the order of the sheet."""
    return (_service(rating), _cases(rating), *_liquids(rating), _protection(rating))


def _block(key: str, title: str, *lines: Line) -> Block:
    return Block(key=key, title=title, party="purchaser", lines=lines)


def _words(key: str, title: str, value: str, note: str = "") -> Line:
    return line(key, title, None, given(value or None, "enquiry", note if value else "not stated"))


def _service(rating: Rating) -> Block:
    enquiry, site = rating.enquiry, rating.enquiry.site
    return _block(
        "service", "Service and site",
        _words("title", "service", enquiry.title), _words("npsh_rules", "kind of service", enquiry.service),
        line("altitude", "height above sea level", q.ELEVATION, given(site.altitude, "enquiry")),
        line("atmosphere", "atmosphere", q.PRESSURE, computed(rating.situation.demands.atmosphere)),
        line("air_lowest", "lowest air temperature", q.TEMPERATURE, given(site.air_lowest, "enquiry")),
        line("air_highest", "highest air temperature", q.TEMPERATURE, given(site.air_highest, "enquiry")),
        line("frequency", "frequency of the supply, Hz", None, given(f"{site.frequency}", "enquiry")),
        _words("zone", "zone and gas group", site.zone),
        _words("temperature_class", "temperature class", site.temperature_class),
        _words("motor_efficiency", "motor efficiency asked", site.motor_efficiency),
        line("parallel", "pumps run in parallel", None, given(enquiry.parallel, "enquiry")))


def _cases(rating: Rating) -> Block:
    cases, inputs, situation = rating.enquiry.cases, rating.inputs, rating.situation
    direct = [case.suction_pressure is not None for case in cases]
    pressures = [given(value, "enquiry") if typed else computed(value, "from what the case says of the suction side")
                 for value, typed in zip(inputs.pressure, direct, strict=True)]
    speeds = [given(value, "enquiry" if case.speed else "pump-file", "" if case.speed else "speed of the driver")
              for value, case in zip(inputs.speed, cases, strict=True)]
    heads = [given(case.head, "enquiry", "" if case.head else "not asked: that of the pump") for case in cases]
    density = situation.scalars[:, solve.DENSITY_IN]
    vapour = situation.per_liquid(lambda liquid, chosen: liquid.vapour_pressure(inputs.temperature[chosen]))
    state = situation.per_liquid(lambda liquid, chosen: np.stack(
        liquid.state(inputs.temperature[chosen], inputs.pressure[chosen]), axis=1))
    return _block(
        "cases", "Operating cases",
        line("role", "what the case is", None, [given(case.role, "enquiry") for case in cases]),
        line("liquid", "liquid", None, [given(model.liquid.name, "enquiry")
                                        for model in (situation.models[of] for of in situation.model_of)]),
        line("flow", "flow", q.VOLUME_FLOW, [given(value, "enquiry") for value in inputs.flow]),
        line("head", "head asked", q.HEAD, heads),
        line("temperature", "temperature at the suction flange", q.TEMPERATURE,
             [given(value, "enquiry") for value in inputs.temperature]),
        line("suction_pressure", "pressure at the suction flange", q.PRESSURE, pressures),
        line("speed", "speed", q.ROTATIONAL_SPEED, speeds),
        line("density", "density", q.DENSITY, _properties(rating, "density", density)),
        line("viscosity", "viscosity", q.DYNAMIC_VISCOSITY, _properties(rating, "viscosity", state[:, 3])),
        line("heat_capacity", "heat capacity", q.SPECIFIC_HEAT, _properties(rating, "heat capacity", state[:, 2])),
        line("vapour_pressure", "vapour pressure", q.PRESSURE, _properties(rating, "vapour pressure", vapour)),
        line("npsh_available", "NPSH available", q.HEAD,
             [computed(value, "warm circulation in the eye taken in", reason="the vapour pressure is not known")
              for value in situation.npsh_available]))


def _properties(rating: Rating, name: str, values: np.ndarray) -> list[Cell]:
    cells = []
    for value, of in zip(values, rating.situation.model_of, strict=True):
        origin = rating.situation.models[of].liquid.origins.get(name)
        known = bool(np.isfinite(value))
        cells.append(Cell(value=float(value) if known else None, basis="table",
                          source=origin.key if origin else "liquid-data", status=origin.status if origin else "given",
                          note=(origin.text if origin else "") if known else "not known"))
    return cells


def _liquids(rating: Rating) -> tuple[Block, ...]:
    return tuple(_liquid(liquid, "liquid" if not number else f"liquid_{number + 1}")
                 for number, liquid in enumerate(rating.situation.liquids))


def _liquid(liquid: Liquid, key: str) -> Block:
    limits = [line(name, title, q.TEMPERATURE, given(getattr(liquid.limits, name), "liquid-data",
                                                     "" if getattr(liquid.limits, name) else "not stated"))
              for name, title in _LIMIT_TITLES.items()]
    origins = [line(f"source_{name.replace(' ', '_')}", told("source of {name}", name=name), None,
                    Cell(value=origin.text, basis="table", source=origin.key, status=origin.status))
               for name, origin in liquid.origins.items()]
    return _block(key, told("Liquid: {liquid}", liquid=liquid.name),
                  _words("name", "name", liquid.name), _words("cas_number", "CAS number", liquid.cas_number or ""),
                  _words("kind", "properties from", liquid.kind), *limits, *origins)


def _protection(rating: Rating) -> Block:
    enquiry = rating.enquiry
    lines = [_words("trips", "trips of the plant", joined(", ", enquiry.protection.trips))]
    if enquiry.solids is not None:
        solids = enquiry.solids
        lines += [line("solids_size", "largest solid", q.LENGTH, given(solids.largest_size, "enquiry")),
                  line("solids_share", "share of solids by mass", q.RATIO, given(solids.share, "enquiry")),
                  line("solids_hardness", "hardness of solids, Mohs", None, given(solids.hardness, "enquiry")),
                  line("solids_magnetic", "solids stick to a magnet", None, given(solids.magnetic, "enquiry"))]
    return _block("protection", "Solids and protection", *lines)
