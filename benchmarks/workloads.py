"""What is timed: each workload prepares its data once and returns a function without arguments."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import demo_models as demo
import numpy as np
import plain_circulation as plain
import w1_circulation as w1
from plain_frame import W1_A, W1_B, W1_C

from wetpath.circulation.batch import empty_batch, solve_batch
from wetpath.circulation.continuation import solve_cases
from wetpath.circulation.solve import CaseArrays
from wetpath.coupling.response import coupling_response
from wetpath.liquids import lookup
from wetpath.physics.magnetics.eddy_loss import endless_wall_loss, reaction_time
from wetpath.physics.magnetics.ring_field import gap_field
from wetpath.physics.magnetics.torque import pull_out, torque_amplitudes
from wetpath.questions.window.basis import Basis, Suction
from wetpath.questions.window.required import required_at
from wetpath.questions.window.study import Asked, basis_of
from wetpath.questions.window.window_map import window_map
from wetpath.rating import machine_arrays, magnet_field
from wetpath.rating.machine_arrays import coupling_geometry
from wetpath.rating.pump_model import Inputs
from wetpath.rating.rate import rate
from wetpath.services.coupling import study_pump_file
from wetpath.services.demo import pump_path
from wetpath.services.rating import load_service

Work = Callable[[], Any]
DUTIES = {"W1-a": W1_A, "W1-b": W1_B, "W1-c": W1_C}


def demo_cases(count: int) -> tuple[Any, Inputs]:
    """Cases of the medium demo pump with n-butane, spread over flow and temperature; all of them stay liquid."""
    model = demo.model("medium", "n-Butane")
    spread = np.linspace(0.0, 1.0, count)
    inputs = demo.inputs(model, share=0.4 + 0.75 * spread, temperature=285.0 + 40.0 * (17 * spread % 1.0), above=4e5)
    return model, inputs


def kernel_cases(count: int) -> tuple[Any, CaseArrays]:
    """The same cases with their hydraulics, as the compiled kernel takes them."""
    model, inputs = demo_cases(count)
    point = model.point(inputs)
    return model, CaseArrays(
        pump=np.zeros(count, np.int64), flow=inputs.flow, temperature=inputs.temperature, pressure=inputs.pressure,
        speed=inputs.speed, head=point.head, efficiency=point.efficiency, air=inputs.air, heat_scale=np.ones(count))


def kernel_batch(count: int, *, warm: bool = False) -> Work:
    """The compiled solve of a batch, nothing around it."""
    model, cases = kernel_cases(count)
    network, machine, liquid = model.pump.network.topology, model.machine, model.liquid.arrays
    results = empty_batch(count, network.kind.size, network.unknown.size, machine.inner.shape[1])
    solve_batch(network, machine, liquid, cases, False, results)
    return lambda: solve_batch(network, machine, liquid, cases, warm, results)


def whole_batch(count: int) -> Work:
    """Hydraulics, solve, outcomes: what a rating calls."""
    model, inputs = demo_cases(count)
    return lambda: model.solve(inputs)


def w1_package(duty: str) -> Work:
    """Frame W-1 with the package, one case."""
    net = w1.network(returns_to=DUTIES[duty].returns_to)
    machine, liquid, cases = w1.machine(net), w1.liquid(DUTIES[duty].liquid).arrays, w1.cases(DUTIES[duty])
    return lambda: solve_cases(net.topology, machine, liquid, cases)


def w1_plain(duty: str, interface: plain.Interface) -> Work:
    """Frame W-1 with scipy and CoolProp, one case from a cold start."""
    liquid = plain.Liquid(DUTIES[duty].liquid, interface)
    return lambda: plain.solve(DUTIES[duty], liquid=liquid, interface=interface)


def w1_difference(duty: str) -> float:
    """Largest relative difference of the four flows, package against plain solve, with the same laws."""
    expected = plain.solve(DUTIES[duty])
    ours = w1.answers(*w1.run(DUTIES[duty], wall_friction=False))
    return max(abs(ours[name] / getattr(expected, name) - 1.0) for name in ("m_feed", "m_shaft", "m_front", "m_rear"))


POINTS = 100_000


def lookup_states() -> Work:
    """Density, enthalpy, heat capacity, viscosity and conductivity at POINTS states."""
    liquid = demo.model("medium", "n-Butane").liquid
    temperature = np.linspace(280.0, 360.0, POINTS)
    pressure = liquid.vapour_pressure(temperature) + np.linspace(0.0, 20e5, POINTS)
    return lambda: lookup.liquid_state_many(liquid.arrays, temperature, pressure)


def lookup_vapour_pressures() -> Work:
    """Vapour pressure at POINTS temperatures."""
    liquid = demo.model("medium", "n-Butane").liquid
    temperature = np.linspace(280.0, 360.0, POINTS)
    return lambda: lookup.vapour_pressure_many(liquid.arrays, temperature)


@cache
def _geometry() -> Any:
    return coupling_geometry(demo.model("medium", "n-Butane").pump)


def coupling() -> Work:
    """Torque and loss map of one coupling from its geometry."""
    return lambda: coupling_response(_geometry())


def coupling_study() -> Work:
    """Study of the coupling of a pump file, its field worked out anew."""
    def study() -> None:
        machine_arrays.response_of.cache_clear()
        magnet_field.magnet_field.cache_clear()
        study_pump_file(str(pump_path("medium")), torque="40 N m")

    return study


def plane_section() -> Work:
    """Field, torque curve, pull-out and wall loss of the plane section alone."""
    geometry = _geometry()
    order = geometry.pole_pairs * np.arange(1.0, 16.0, 2.0)
    section, wall = geometry.section, geometry.wall

    def solve() -> None:
        inner, outer = geometry.magnetisation(order)
        field = gap_field(order, wall.mean_radius, section, inner, outer)
        pull_out(order / geometry.pole_pairs, torque_amplitudes(wall.mean_radius, *field))
        lag = reaction_time(order, wall.mean_radius, wall.thickness, section)
        endless_wall_loss(field[0] + field[2], wall.mean_radius, wall.thickness, 7.7e5, 309.0, 7.7e5 * 309.0 * lag)

    return solve


def finite_elements() -> Work | None:
    """The same for case A1 by the finite elements of ``validation``; None where their library is not installed."""
    folder = Path(__file__).parents[1] / "validation" / "coupling_fem"
    sys.path.insert(0, str(folder))
    try:
        from cases import BY_NAME
        from planar import Planar
    except ImportError:
        return None
    finally:
        sys.path.remove(str(folder))
    case = BY_NAME["A1"]

    def solve() -> None:
        model = Planar(case, np.radians(case.angle), 3).solve(1 / case.resistivity, case.speed * np.pi / 30)
        model.inner_torque()
        model.loss(1 / case.resistivity, case.speed * np.pi / 30)

    return solve


def command_line_exists() -> bool:
    """Whether the command that rates a pump can be imported."""
    return (files("wetpath") / "faces" / "cli" / "main.py").is_file()


def run_command(*arguments: str, cache_folder: str | None = None) -> None:
    """One process of ``python -m wetpath``; raises when it fails."""
    environment = dict(os.environ)
    if cache_folder is not None:
        environment["WETPATH_CACHE"] = cache_folder
        environment.pop("NUMBA_CACHE_DIR", None)
    done = subprocess.run([sys.executable, "-m", "wetpath", *arguments], env=environment, capture_output=True,
                          text=True,
                          check=False, cwd=tempfile.gettempdir())
    if done.returncode not in (0, 1):       # 1: the pump does not hold
        raise RuntimeError(done.stderr[-2000:])


def demo_file(kind: str, name: str) -> str:
    """Path of a demo file."""
    return str(Path(str(files("wetpath"))) / "data" / "demo" / kind / f"{name}.toml")


def rate_command() -> Work:
    """The rating of the butane demo in a process of its own, everything cached."""
    return lambda: run_command("rate", demo_file("enquiries", "butane_reflux"), "--pump", demo_file("pumps", "medium"))


def first_solve(cache_folder: str) -> None:
    """Import, build the liquid's table, compile and solve, in a process with an empty cache."""
    program = f"import sys; sys.path[:0] = {sys.path[:3]!r}\nfrom workloads import whole_batch\nwhole_batch(1)()"
    environment = {**os.environ, "WETPATH_CACHE": cache_folder}
    environment.pop("NUMBA_CACHE_DIR", None)
    subprocess.run([sys.executable, "-c", program], env=environment, check=True)


def rating_of(name: str, *, cases: int | None = None, full: bool = True) -> Work:
    """The rating of a demo enquiry, read and with its liquids loaded: its first cases, or all of them."""
    service = load_service(demo_file("enquiries", name))
    asked = service.enquiry.model_copy(update={"cases": service.enquiry.cases[:cases]})
    return lambda: rate(service.pump, asked, service.liquid, service.practice, others=service.others, full=full)


def window_map_of(flows: int, temperatures: int) -> Work:
    """Every check of the butane demo on a grid of flows and temperatures."""
    basis = _window_basis()
    flow, temperature = np.linspace(0.002, 0.019, flows), np.linspace(283.0, 343.0, temperatures)
    return lambda: window_map(basis, flow, temperature)


def window_search(flows: int, temperatures: int) -> Work:
    """The suction pressure needed, with its band, on such a grid."""
    basis = _window_basis()
    flow, temperature = np.meshgrid(np.linspace(0.002, 0.019, flows), np.linspace(283.0, 343.0, temperatures))
    return lambda: required_at(basis, flow.ravel(), temperature.ravel())


@cache
def _window_basis() -> Basis:
    service = load_service(demo_file("enquiries", "butane_reflux"))
    rating = rate(service.pump, service.enquiry, service.liquid, service.practice, full=False)
    return basis_of(rating, Asked(suction=Suction(1e5, above_vapour=True)))
