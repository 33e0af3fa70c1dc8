"""Frame W-1 of the plain solve, built from branches and taps of the package, and its cases.

The front bearing ends at a tap of its own, ``R1``, at the pressure of ``R``: there the plain solve does not mix it
with the liquid of the return holes.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import pi
from typing import Any

import numpy as np
from plain_frame import W1, Duty, Frame

from wetpath.circulation import annulus_cells, branch, laws, solve
from wetpath.circulation.branch import Branch
from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.network import Network, Tap
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.specification import LiquidSpecification, load_liquid

#: Place of each branch in the network.
(FEED, RADIAL, BORE, REAR, ANNULUS, FRONT, RETURN, FRONT_FILM, FRONT_GROOVES, FRONT_THRUST, REAR_FILM, REAR_GROOVES,
 REAR_THRUST) = range(13)
#: No torque is asked of the magnets of this frame: any ample series will do.
AMPLE_TORQUE = 1e4


@cache
def liquid(name: str) -> Liquid:
    """A liquid from its reference equation."""
    return load_liquid(LiquidSpecification("reference equation", (name,)))


def network(frame: Frame = W1, returns_to: str = "casing", *, wall_friction: bool = True) -> Network:
    """The graph of the frame; without ``wall_friction`` its cavities lose nothing, as in the plain solve."""
    f = frame
    places = f.roughness
    journal = {"radius": f.R_journal, "clearance": f.c_journal, "length": f.l_journal, "groove_count": int(f.n_groove),
               "groove_width": f.w_groove, "groove_depth": f.h_groove, "roughness": places, "groove_loss": f.zeta}
    thrust = {"inner_radius": f.ri_thrust, "outer_radius": f.ro_thrust, "groove_count": int(f.n_thrust),
              "groove_width": f.w_thrust, "groove_depth": f.h_thrust, "film": f.film_thrust, "land_share": f.land,
              "roughness": places, "groove_loss": f.zeta}
    branches = [
        branch.hole("feed", "F", "A", count=1, diameter=f.d_feed, length=f.l_feed, roughness=places, loss=f.zeta),
        branch.rotating_hole("radial holes", "A", "X", count=int(f.n_radial), diameter=f.d_radial, length=f.l_radial,
                             radius_from=f.r_shaft, radius_to=0.0, plenum_swirl=f.k_holder, incidence=f.zeta_incidence,
                             roughness=places, loss=f.zeta),
        branch.hole("bore", "X", "B", count=1, diameter=f.d_bore, length=f.l_bore, loss=f.zeta_bore, roughness=places),
        branch.cavity("rear cavity", "B", "C", radius_from=0.0, radius_to=f.ri, gap=f.s_rear, core_rotation=f.k_rear,
                      disc_outer=f.ri),
        branch.shell_annulus("annulus", "C", "D", rotor_radius=f.ri, gap=f.ro - f.ri, length=f.l_annulus),
        branch.cavity("front chamber", "D", "E", radius_from=f.ri, radius_to=f.r_front, gap=f.s_front,
                      core_rotation=f.k_front, disc_outer=f.ri, disc_inner=f.r_front),
        branch.hole("return", "E", "R", count=int(f.n_return), diameter=f.d_return, length=f.l_return, roughness=places,
                    loss=f.zeta),
        *branch.journal_bearing("front journal", "A", "J1", **journal),
        branch.thrust_face("front thrust", "J1", "R1", **thrust),
        *branch.journal_bearing("rear journal", "A", "J2", **journal),
        branch.thrust_face("rear thrust", "J2", "E", **thrust)]
    if not wall_friction:
        branches = [_without_length(one) if "cavity" in one.name or "chamber" in one.name else one for one in branches]
    taps = [Tap("F", "casing", head_share=f.c_feed)]
    for station in ("R", "R1"):
        taps.append(Tap(station, "suction") if returns_to == "suction" else
                    Tap(station, "casing", head_share=f.c_stat, core_rotation=f.k_impeller, outer_radius=f.r2,
                        inner_radius=f.r_return))
    return Network(tuple(branches), tuple(taps))


def _without_length(one: Branch) -> Branch:
    return replace(one, features={**one.features, laws.LENGTH: 0.0})


def machine(net: Network, frame: Frame = W1, *, cells: int = 20, heat: float = 1.0) -> MachineArrays:
    """Arrays of the frame; its shell loss at 20 degC is given, even along the annulus, whatever the load angle.

    It grows with the square of the speed, as eddy heat does.
    """
    speed = 2 * pi * frame.speed
    shell = np.zeros((1, solve.SHELL_COLUMNS))
    shell[0, [solve.WALL, solve.RESISTIVITY_SLOPE, solve.AIR_COEFFICIENT, solve.CONDUCTIVITY]] = (
        frame.wall, frame.a_resistivity, frame.U_air, 1.0)
    torque = np.zeros((1, 3, 1))
    torque[0, 0] = AMPLE_TORQUE
    ring = np.zeros((1, solve.RING_COLUMNS))
    ring[0, solve.PULL_OUT_ANGLE] = pi / 2
    return MachineArrays(
        rows=net.rows[None], taps=net.tap_rows[None], shell=shell, torque=torque, inner=np.zeros((1, cells)),
        outer=np.full((1, cells), heat * frame.q0 / cells / speed**2), cross=np.zeros((1, 1, cells)), ring=ring)


def cases(duty: Duty, frame: Frame = W1, *, count: int = 1, **columns: Any) -> CaseArrays:
    """``count`` cases of one duty, with head and efficiency of the frame's curves; columns may be replaced.

    A speed given in ``columns`` [rad/s] does not change head and efficiency: give them too.
    """
    pressure = duty.P1
    if pressure is None:
        pressure = float(liquid(duty.liquid).vapour_pressure(duty.T1)) + duty.above_psat
    share = duty.Q / frame.Q_best
    scalars = {"flow": duty.Q / 3600, "temperature": duty.T1, "pressure": pressure, "speed": 2 * pi * frame.speed,
               "head": frame.H0 - frame.H2 * duty.Q**2, "efficiency": frame.eta_best * (2 * share - share**2),
               "air": frame.T_air, "heat_scale": 1.0, **columns}
    arrays = {name: np.ascontiguousarray(np.broadcast_to(np.asarray(value, float), (count,)))
              for name, value in scalars.items()}
    return CaseArrays(pump=np.zeros(count, np.int64), **arrays)


def run(duty: Duty, frame: Frame = W1, *, wall_friction: bool = True, cells: int = 20, heat: float = 1.0,
        count: int = 1,
        place_losses: bool = True, **columns: Any) -> tuple[Network, Solution]:
    """Solve a duty on the frame with the package."""
    net = network(frame, duty.returns_to, wall_friction=wall_friction)
    found = solve_cases(net.topology, machine(net, frame, cells=cells, heat=heat), liquid(duty.liquid).arrays,
                        cases(duty, frame, count=count, **columns), place_losses=place_losses)
    return net, found


def answers(net: Network, found: Solution, case: int = 0) -> dict[str, float]:
    """The solved case by the names that the plain solve gives its answers."""
    states = found.states
    flow, heat, scalars, cells = states.flow[case], states.heat[case], states.scalars[case], states.cells[case]
    place = {name: index for index, name in enumerate(net.stations)}
    named = {f"P_{name}": float(states.pressure[case, index]) for name, index in place.items()}
    named |= {f"T_{name}": float(states.temperature[case, index]) for name, index in place.items()}
    bulk, boiling = float(states.pressure[case, place["R"]] - states.saturation[case, place["R"]]), states.boiling[case]
    return named | {
        "m_feed": flow[FEED], "m_shaft": flow[ANNULUS], "m_front": flow[FRONT_THRUST], "m_rear": flow[REAR_THRUST],
        "margin_P": bulk,
        "margin_T": float(boiling[place["R"]]) - named["T_R"], "T_wall": scalars[solve.HOTTEST_WALL],
        "margin_wall": scalars[solve.WALL_MARGIN], "eddy": scalars[solve.EDDY], "eddy_air": scalars[solve.TO_AIR],
        "eddy_liquid": scalars[solve.EDDY] - scalars[solve.TO_AIR], "windage": scalars[solve.WINDAGE],
        "disc_rear": heat[REAR],
        "disc_front": heat[FRONT], "journal": heat[FRONT_GROOVES], "thrust": heat[FRONT_THRUST],
        "T_eye": scalars[solve.EYE_TEMPERATURE], "dP_annulus": named["P_C"] - named["P_D"],
        "h_wall": cells[annulus_cells.CELL_FILM, 0]}

