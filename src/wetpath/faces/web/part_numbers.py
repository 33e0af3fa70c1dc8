"""The numbers a rating gives for one part of the pump, in the case looked at."""

from __future__ import annotations

from math import radians

from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.faces.web.session import Session

Numbers = list[tuple[str, str]]


def part_numbers(session: Session, part: str) -> Numbers:
    """Names and values of what concerns the part; empty where the rating says nothing of it."""
    case, figures = session.case_record, session.figures

    def line(name: str, value: float | None, kind: Kind, sign: bool = False) -> tuple[str, str]:
        return name, figures.text(value, kind, sign=sign)

    point, losses, coupling, shell, bearings = (case.operating_point, case.losses, case.coupling, case.shell,
                                                case.bearings)
    if part == "shell":
        return [line("wall temperature, hottest", case.wall.temperature_k, q.TEMPERATURE),
                line("margin of the wall to boiling", case.wall.margin_k, q.TEMPERATURE_DIFFERENCE, True),
                line("eddy loss", losses.eddy_w, q.POWER),
                line("pressure inside, highest, above that outside", shell.inside_pa, q.PRESSURE_DIFFERENCE),
                line("pressure it may bear, above that outside", shell.bears_pa, q.PRESSURE_DIFFERENCE),
                line("allowable stress", shell.allowable_stress_pa, q.STRESS)]
    if part == "impeller":
        return [line("head", point.head_m, q.HEAD), line("hydraulic power", losses.hydraulic_w, q.POWER),
                line("lost in impeller and casing", losses.wet_end_w, q.POWER),
                ("efficiency of impeller and casing", figures.text(point.efficiency, q.RATIO)),
                line("NPSH3", point.npsh_required_m, q.HEAD),
                line("flow over best flow", point.flow_over_best_flow, q.RATIO)]
    if part == "casing":
        return [line("head", point.head_m, q.HEAD), line("shut-off head", point.shut_off_head_m, q.HEAD),
                line("radial force on the impeller", bearings.radial_force_n, q.FORCE)]
    if part == "bearings":
        rows: Numbers = []
        for journal in bearings.journals:
            rows += [line(f"{journal.name}: load", journal.load_n, q.FORCE),
                     line(f"{journal.name}: specific load", journal.specific_load_pa, q.STRESS),
                     line(f"{journal.name}: least film", journal.least_film_m, q.ROUGHNESS),
                     (f"{journal.name}: film", f"{journal.flow_in_film}, carried by {journal.carried_by}")]
        return [*rows, line("axial thrust, new", bearings.thrust_new.total_n, q.FORCE),
                line("axial thrust, worn", bearings.thrust_worn.total_n, q.FORCE)]
    if part in ("inner-ring", "outer-ring"):
        magnets = coupling.inner_magnets_k if part == "inner-ring" else coupling.outer_magnets_k
        return [line("magnet temperature", magnets, q.TEMPERATURE),
                line("torque", coupling.torque_n_m, q.TORQUE),
                line("pull-out torque", coupling.pull_out_torque_n_m, q.TORQUE),
                line("pull-out over torque", coupling.pull_out_over_torque, q.NUMBER),
                line("load angle, electrical", radians(coupling.load_angle_electrical_deg), q.ANGLE)]
    if part == "shaft":
        return [line("speed", point.speed_rad_per_s, q.ROTATIONAL_SPEED),
                line("torque", coupling.torque_n_m, q.TORQUE)]
    if part == "external-bearings":
        rows = []
        for one in bearings.external:
            rows += [line(f"{one.place}: equivalent load", one.equivalent_load_n, q.FORCE),
                     line(f"{one.place}: life L10h", one.life_s, q.LIFE)]
        return rows
    if part == "drive-shaft":
        return [line("shaft power", losses.shaft_w, q.POWER),
                line("highest power on the curve", case.driver.highest_power_w, q.POWER),
                line("power the motor has at this site", case.driver.available_w, q.POWER)]
    if part == "bush-holder":
        passages = [one for one in case.branches if "hole" in one.kind or one.kind in ("feed", "return")]
        return [line(one.name, abs(one.flow_kg_per_s), q.MASS_FLOW) for one in passages]
    return []
