"""Where a number of a rating comes from: its formula, what went in, its sources and how far it is valid."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import radians

from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.errors import UnknownName
from wetpath.physics.published import FORMULAS
from wetpath.services.record import CaseRecord, LiquidRecord, Record
from wetpath.services.sources import source_text


@dataclass(frozen=True)
class Given:
    """One input of a formula: its symbol, name and value, and the key under which it is explained itself."""

    symbol: str
    name: str
    value: float | None
    kind: Kind
    key: str = ""


@dataclass(frozen=True)
class Known:
    """One source: its text and how it is known."""

    key: str
    text: str
    status: str


@dataclass(frozen=True)
class Explanation:
    """One number of one case; ``formula`` holds symbols in braces, and when ``closed`` it gives the value alone."""

    key: str
    name: str
    case: str
    value: float | None
    kind: Kind
    symbol: str
    formula: str
    given: tuple[Given, ...]
    sources: tuple[Known, ...]
    limits: str = ""
    closed: bool = False
    table: tuple[str, float, float] | None = None      # liquid whose table was read, and its ends [K]


def key_of(case: int, quantity: str, place: str = "") -> str:
    """Key of a number: case counted from 0, quantity, and station, passage or nothing.

    >>> key_of(0, "margin", "4")
    '0/margin/4'
    """
    return f"{case}/{quantity}/{place}"


def explained(record: Record, key: str) -> Explanation:
    """Explain one number of a rating.

    Raises
    ------
    UnknownName
        For a key that names no number of this rating.
    """
    number, _, rest = key.partition("/")
    quantity, _, place = rest.partition("/")
    if not number.isdigit() or int(number) >= len(record.cases) or quantity not in _EXPLAIN:
        raise UnknownName("number", key, _EXPLAIN)
    return _EXPLAIN[quantity](_Asked(record, int(number), key), place)


@dataclass(frozen=True)
class _Asked:
    record: Record
    number: int
    key: str

    @property
    def case(self) -> CaseRecord:
        return self.record.cases[self.number]

    @property
    def liquid(self) -> LiquidRecord:
        return next(one for one in self.record.liquids if one.name == self.case.liquid)

    def of(self, quantity: str, place: str = "") -> str:
        return key_of(self.number, quantity, place)

    def property_sources(self, *names: str) -> tuple[Known, ...]:
        return tuple(Known(one.source, one.text, one.status) for one in self.liquid.properties
                     if one.name.replace("_", " ") in names)

    def answer(self, name: str, symbol: str, value: float | None, kind: Kind, formula: str, given: tuple[Given, ...],
               sources: tuple[Known, ...], limits: str = "", closed: bool = False, table: bool = False) -> Explanation:
        liquid = self.liquid
        read = (liquid.name, liquid.lowest_temperature_k, liquid.highest_temperature_k) if table else None
        return Explanation(self.key, name, self.case.name, value, kind, symbol, formula, given, sources, limits, closed,
                           read)


def _formulas(*names: str) -> tuple[Known, ...]:
    """Sources of marked formulas, by the end of their names."""
    found: dict[tuple[str, str], Known] = {}
    for name in names:
        marked = [marks for path, marks in FORMULAS.items() if path.endswith(f".{name}")]
        if not marked:
            raise UnknownName("formula", name, FORMULAS)
        for mark in (one for marks in marked for one in marks):
            found.setdefault((mark.key, mark.status), Known(mark.key, source_text(mark.key), mark.status))
    return tuple(found.values())


def _station(asked: _Asked, name: str) -> tuple[float, float, float | None, str]:
    found = next((one for one in asked.case.trace if one.name == name), None)
    if found is None:
        raise UnknownName("station", name, [one.name for one in asked.case.trace])
    return found.pressure_pa, found.temperature_k, found.vapour_pressure_pa, found.title


def _feeds(asked: _Asked, name: str) -> list[tuple[str, str, float, float]]:
    """Passages that lead into a station: name, from where, flow, heat."""
    return [(one.name, one.start if one.flow_kg_per_s >= 0 else one.end, abs(one.flow_kg_per_s), one.heat_w)
            for one in asked.case.branches if (one.end if one.flow_kg_per_s >= 0 else one.start) == name]


def _pressure(asked: _Asked, name: str) -> Explanation:
    pressure, _, _, title = _station(asked, name)
    feeds = _feeds(asked, name)
    shown = f"pressure at station {name}, {title}"
    if not feeds:
        return asked.answer(shown, "p", pressure, q.PRESSURE, "a boundary: set by suction pressure and head", (
            Given("p_s", "suction pressure", asked.case.operating_point.suction_pressure_pa, q.PRESSURE),
            Given("H", "head", asked.case.operating_point.head_m, q.HEAD, asked.of("head"))),
            _formulas("hydraulic_power"))
    branch, start, flow, _ = feeds[0]
    before = _station(asked, start)[0]
    return asked.answer(shown, "p", pressure, q.PRESSURE, "{p_before} − {Δp}", (
        Given("p_before", f"pressure at station {start}", before, q.PRESSURE, asked.of("pressure", start)),
        Given("Δp", f"loss less rise over {branch}", before - pressure, q.PRESSURE_DIFFERENCE),
        Given("ṁ", f"flow through {branch}", flow, q.MASS_FLOW, asked.of("flow", branch))),
        _formulas("pipe_friction_factor", "annulus_friction_factor", "orifice_loss_coefficient", "rotation_head"),
        "Flows and pressures are solved together: what flows into a station flows out of it, and the pressures along "
        "all passages agree.", closed=True)


def _temperature(asked: _Asked, name: str) -> Explanation:
    _, temperature, _, title = _station(asked, name)
    balance = (Known("energy-balance", source_text("energy-balance"), "exact"),)
    given: list[Given] = []
    for number, (branch, start, flow, heat) in enumerate(_feeds(asked, name), start=1):
        mark = str(number) if len(_feeds(asked, name)) > 1 else ""
        given += [Given(f"T_from{mark}", f"temperature at station {start}", _station(asked, start)[1], q.TEMPERATURE,
                        asked.of("temperature", start)),
                  Given(f"ṁ{mark}", f"flow through {branch}", flow, q.MASS_FLOW, asked.of("flow", branch)),
                  Given(f"Q{mark}", f"heat taken up in {branch}", heat, q.POWER)]
    if not given:
        return asked.answer(f"temperature at station {name}, {title}", "T", temperature, q.TEMPERATURE,
                            "that of the main flow, warmed by the losses of the pump", (
            Given("T_s", "liquid temperature", asked.case.operating_point.temperature_k, q.TEMPERATURE),), balance)
    return asked.answer(f"temperature at station {name}, {title}", "T", temperature, q.TEMPERATURE,
                        "such that Σ ṁ·h(T, p) = Σ (ṁ·h(T_from, p_from) + Q) over what flows in", tuple(given),
                        balance, "Steady; liquid mixes fully at a station.")


def _vapour(asked: _Asked, name: str) -> Explanation:
    _, temperature, vapour, title = _station(asked, name)
    return asked.answer(f"vapour pressure at station {name}, {title}", "p_v", vapour, q.PRESSURE, "p_v({T})", (
        Given("T", f"temperature at station {name}", temperature, q.TEMPERATURE, asked.of("temperature", name)),),
        asked.property_sources("vapour pressure"), table=True)


def _margin(asked: _Asked, name: str) -> Explanation:
    pressure, _, vapour, title = _station(asked, name)
    margin = None if vapour is None else pressure - vapour
    return asked.answer(f"margin at station {name}, {title}", "Δp_v", margin, q.PRESSURE_DIFFERENCE, "{p} − {p_v}", (
        Given("p", f"pressure at station {name}", pressure, q.PRESSURE, asked.of("pressure", name)),
        Given("p_v", f"vapour pressure at station {name}", vapour, q.PRESSURE, asked.of("vapour", name))),
        asked.property_sources("vapour pressure"), closed=True, table=True)


def _wall(asked: _Asked, _: str) -> Explanation:
    cell = min(asked.case.annulus, key=lambda one: abs(one.wall_temperature_k - asked.case.wall.temperature_k))
    return asked.answer("shell wall temperature, at its worst", "T_w", asked.case.wall.temperature_k, q.TEMPERATURE,
                        "T + Q / (α·A)", (
        Given("T", "liquid beside it", cell.temperature_k, q.TEMPERATURE),
        Given("Q", "heat of this cell to the liquid", cell.heat_to_liquid_w, q.POWER),
        Given("P_e", "eddy loss", asked.case.losses.eddy_w, q.POWER, asked.of("eddy"))),
        _formulas("wall_temperature", "wall_gradient_drop", "annulus_nusselt"),
        "Thin wall; α from the correlations of the annulus between a turning and a standing cylinder, in their range.")


def _wall_margin(asked: _Asked, _: str) -> Explanation:
    wall = asked.case.wall
    boiling = None if wall.margin_k is None else wall.temperature_k + wall.margin_k
    return asked.answer("margin of the shell wall to boiling", "ΔT_w", wall.margin_k, q.TEMPERATURE_DIFFERENCE,
                        "{T_v} − {T_w}", (
        Given("T_v", "boiling temperature at the pressure there", boiling, q.TEMPERATURE),
        Given("T_w", "shell wall temperature", wall.temperature_k, q.TEMPERATURE, asked.of("wall"))),
        asked.property_sources("vapour pressure"), closed=True, table=True)


def _eddy(asked: _Asked, _: str) -> Explanation:
    losses = asked.case.losses
    return asked.answer("eddy loss in the shell", "P_e", losses.eddy_w, q.POWER,
                        "Σ over cells and harmonics of ½·σ·t·(ω·r·B_r)²·2πr·Δx·k_end", (
        Given("ω", "speed", asked.case.operating_point.speed_rad_per_s, q.ROTATIONAL_SPEED),
        Given("δ", "load angle, electrical", radians(asked.case.coupling.load_angle_electrical_deg), q.ANGLE,
              asked.of("angle")),
        Given("T_w", "shell wall temperature, for σ", asked.case.wall.temperature_k, q.TEMPERATURE, asked.of("wall")),
        Given("P_air", "of it to the air", losses.eddy_to_air_w, q.POWER)),
        _formulas("wall_loss", "endless_wall_loss"),
        "Wall thin against its radius and against the skin depth; warned of where it is not.")


def _flow(asked: _Asked, name: str) -> Explanation:
    found = next((one for one in asked.case.branches if one.name == name), None)
    if found is None:
        raise UnknownName("passage", name, [one.name for one in asked.case.branches])
    start, end = _station(asked, found.start)[0], _station(asked, found.end)[0]
    return asked.answer(f"flow through {name}", "ṁ", abs(found.flow_kg_per_s), q.MASS_FLOW,
                        "such that the losses of the passage take up p_start − p_end", (
        Given("p_start", f"pressure at station {found.start}", start, q.PRESSURE, asked.of("pressure", found.start)),
        Given("p_end", f"pressure at station {found.end}", end, q.PRESSURE, asked.of("pressure", found.end))),
        _formulas("pipe_friction_factor", "annulus_friction_factor", "orifice_loss_coefficient",
                  "film_axial_conductance"))


def _head(asked: _Asked, _: str) -> Explanation:
    point = asked.case.operating_point
    return asked.answer("head", "H", point.head_m, q.HEAD,
                        "C_H·(n / n_test)²·H_test(Q·n_test / n), trimmed to the diameter", (
        Given("Q", "flow", point.flow_m3_per_s, q.VOLUME_FLOW),
        Given("n", "speed", point.speed_rad_per_s, q.ROTATIONAL_SPEED)),
        (Known("affinity-laws", source_text("affinity-laws"), "exact"), *_formulas("head_factor")),
        "Between the least and the largest flow of the tested curve, and the least and the largest diameter.")


def _hydraulic(asked: _Asked, _: str) -> Explanation:
    point = asked.case.operating_point
    return asked.answer("hydraulic power", "P_h", asked.case.losses.hydraulic_w, q.POWER, "{ρ}·g·{Q}·{H}", (
        Given("ρ", "density", point.density_kg_per_m3, q.DENSITY),
        Given("Q", "flow", point.flow_m3_per_s, q.VOLUME_FLOW),
        Given("H", "head", point.head_m, q.HEAD, asked.of("head"))), _formulas("hydraulic_power"), closed=True)


def _efficiency(asked: _Asked, _: str) -> Explanation:
    losses = asked.case.losses
    return asked.answer("efficiency, liquid to motor shaft", "η", losses.efficiency, q.RATIO, "{P_h} / {P}", (
        Given("P_h", "hydraulic power", losses.hydraulic_w, q.POWER, asked.of("hydraulic")),
        Given("P", "shaft power", losses.shaft_w, q.POWER, asked.of("shaft"))), _formulas("shaft_power"), closed=True)


_PARTS_OF_POWER = (("P_h", "hydraulic power", "hydraulic_w"),
                   ("P_i", "lost in impeller and casing", "wet_end_w"), ("P_e", "eddy loss", "eddy_w"),
                   ("P_a", "drag in the annulus", "annulus_drag_w"), ("P_d", "drag of discs", "disc_drag_w"),
                   ("P_j", "journal bearings", "journals_w"), ("P_t", "thrust faces", "thrust_faces_w"),
                   ("P_o", "dry side", "dry_side_w"))


def _shaft(asked: _Asked, _: str) -> Explanation:
    losses = asked.case.losses
    given = tuple(Given(symbol, name, getattr(losses, field), q.POWER, asked.of("eddy") if field == "eddy_w" else "")
                  for symbol, name, field in _PARTS_OF_POWER)
    return asked.answer("shaft power", "P", losses.shaft_w, q.POWER, " + ".join(f"{{{one.symbol}}}" for one in given),
                        given, _formulas("wall_loss", "cylinder_torque", "disc_torque_coefficient", "shaft_power"),
                        closed=True)


def _available(asked: _Asked, _: str) -> Explanation:
    point = asked.case.operating_point
    return asked.answer("NPSH available", "NPSHA", point.npsh_available_m, q.HEAD, "(p_1 − p_v) / (ρ·g) + v²/2g + z", (
        Given("p_1", "suction pressure", point.suction_pressure_pa, q.PRESSURE),
        Given("ρ", "density", point.density_kg_per_m3, q.DENSITY),
        Given("lost", "of it lost to warm liquid that returns", asked.case.suction.npsh_lost_to_return_m, q.HEAD)),
        _formulas("npsh_available"), "At the temperature in the impeller eye, with what the circulation brings back.")


def _required(asked: _Asked, _: str) -> Explanation:
    point = asked.case.operating_point
    return asked.answer("NPSH required, NPSH3", "NPSHR", point.npsh_required_m, q.HEAD,
                        "(n / n_test)²·NPSH_test(Q·n_test / n)", (
        Given("Q", "flow", point.flow_m3_per_s, q.VOLUME_FLOW),
        Given("n", "speed", point.speed_rad_per_s, q.ROTATIONAL_SPEED)), _formulas("viscous_npsh_required"),
        "3 % head loss, cold water; no credit for hot water or hydrocarbons.")


def _torque(asked: _Asked, _: str) -> Explanation:
    losses, point = asked.case.losses, asked.case.operating_point
    given = tuple(Given(symbol, name, getattr(losses, field), q.POWER, asked.of("hydraulic") if symbol == "P_h" else "")
                  for symbol, name, field in _PARTS_OF_POWER if field not in ("eddy_w", "dry_side_w"))
    torque, speed = asked.case.coupling.torque_n_m, point.speed_rad_per_s
    brake = torque * speed - sum(one.value or 0.0 for one in given)
    given += (Given("P_b", "share of the eddy loss that brakes the inner ring", brake, q.POWER, asked.of("eddy")),)
    return asked.answer("torque through the coupling", "M", torque, q.TORQUE,
                        "(" + " + ".join(f"{{{one.symbol}}}" for one in given) + ") / {ω}",
                        (*given, Given("ω", "speed", speed, q.ROTATIONAL_SPEED)),
                        _formulas("shaft_torque"), closed=True)


def _angle(asked: _Asked, _: str) -> Explanation:
    coupling = asked.case.coupling
    return asked.answer("load angle, electrical", "δ", radians(coupling.load_angle_electrical_deg), q.ANGLE,
                        "such that Σ M_k·sin(k·δ) = M", (
        Given("M", "torque", coupling.torque_n_m, q.TORQUE, asked.of("torque")),
        Given("M_max", "pull-out torque", coupling.pull_out_torque_n_m, q.TORQUE)),
        _formulas("torque_amplitudes"), "Magnets at their temperature; pole pairs times the mechanical angle.")


def _pull_out(asked: _Asked, _: str) -> Explanation:
    coupling = asked.case.coupling
    return asked.answer("pull-out torque over torque", "S", coupling.pull_out_over_torque, q.NUMBER, "{M_max} / {M}", (
        Given("M_max", "pull-out torque", coupling.pull_out_torque_n_m, q.TORQUE),
        Given("M", "torque", coupling.torque_n_m, q.TORQUE, asked.of("torque"))),
        _formulas("torque_amplitudes"), closed=True)


_EXPLAIN: dict[str, Callable[[_Asked, str], Explanation]] = {
    "pressure": _pressure, "temperature": _temperature, "vapour": _vapour, "margin": _margin, "wall": _wall,
    "wall-margin": _wall_margin, "eddy": _eddy, "flow": _flow, "head": _head, "hydraulic": _hydraulic,
    "efficiency": _efficiency, "shaft": _shaft, "npsha": _available, "npshr": _required, "torque": _torque,
    "angle": _angle, "pull-out": _pull_out}
