"""Journal loads and axial thrust of a demo pump against a plain calculation: moments, and pressures integrated."""

import bearing_situations
import demo_models
import numpy as np
import pytest

from wetpath.circulation import solve

G = 9.80665


def plain_journals(front, rear, forces):
    """Amounts of the reactions of forces that may point anywhere, each (N, position)."""
    found = np.zeros(2)
    for force, position in forces:
        on_rear = force * (position - front) / (rear - front)
        found += np.abs([force - on_rear, on_rear])
    return found


@pytest.mark.published("beam-statics", status="derived")
def test_journal_loads_by_moments(against):
    situation = bearing_situations.water()
    state, ring = situation.bearings, situation.pump.inner_ring
    front, rear = 0.055, 0.150
    middle = rear + 0.016 + 0.037
    impeller = 0.5 * 7850 * np.pi / 4 * 0.209**2 * 0.014
    shaft = 7850 * np.pi / 4 * 0.034**2 * (middle + 0.037)
    magnets = 7900 * np.pi / 4 * (0.096**2 - 0.058**2) * 0.074
    weight = np.zeros(2)
    for mass, position in ((impeller, 0.0), (shaft, (middle + 0.037) / 2), (magnets, middle)):
        on_rear = G * mass * (position - front) / (rear - front)
        weight += [G * mass - on_rear, on_rear]
    for case, (force, pull) in enumerate(zip(state.radial_force, state.magnet_pull, strict=True)):
        expected = plain_journals(front, rear, [(force, 0.0), (pull, middle)]) + np.abs(weight)
        for name, ours, value in zip(("front", "rear"), state.load[case], expected, strict=True):
            against("beam-statics", "derived", f"load of the {name} journal, case {case}", ours, value, rel=1e-9,
                    unit="N")
    assert ring.mass_or_estimate == pytest.approx(magnets)


@pytest.mark.published("stepanoff-1957", status="recalled")
def test_radial_force_of_the_classic_law(against):
    situation = bearing_situations.situation(demo_models.model("medium", "Water"),
                                             impeller={"radial_force_factor": None})
    density = situation.scalars[:, solve.DENSITY_IN]
    point = situation.solved.point
    for case, share in enumerate(point.flow_share):
        factor = max(0.05, 0.36 * abs(1 - share**2))
        against("stepanoff-1957", "recalled", f"radial force at {share:.2f} of best flow",
                situation.bearings.radial_force[case],
                factor * density[case] * G * point.head[case] * 0.209 * 0.014, rel=1e-9, unit="N")


@pytest.mark.published("side-room-pressure", status="derived")
@pytest.mark.parametrize("clearance", ["new", "worn"])
def test_thrust_by_integrating_pressures(against, clearance):
    """Every face of the rotor cut into thin rings, with the pressure there; 40 000 rings leave 1e-6."""
    situation = bearing_situations.water()
    pump, solved = situation.pump, situation.solved
    density, speed = situation.scalars[:, solve.DENSITY_IN], solved.inputs.speed
    stations = pump.network.stations
    radius = np.linspace(0.0, 0.1045, 40001)
    middle, area = (radius[1:] + radius[:-1]) / 2, np.pi * np.diff(radius**2)
    gap = 0.25e-3 if clearance == "new" else 0.5e-3
    for case in range(solved.inputs.flow.size):
        rho, omega, flow = density[case], speed[case], solved.inputs.flow[case]
        suction = solved.inputs.pressure[case]
        outlet = suction + 0.72 * rho * G * solved.point.head[case]
        room = outlet - 0.5 * rho * (0.45 * omega) ** 2 * (0.1045**2 - middle**2)
        eye_velocity, flange_velocity = flow / (np.pi * 0.040**2), flow / (np.pi * 0.040**2)
        eye = suction + 0.5 * rho * (flange_velocity**2 - eye_velocity**2)
        ahead = outlet - 0.5 * rho * (0.45 * omega) ** 2 * (0.1045**2 - 0.044**2)
        ring_area, hole_area = 2 * np.pi * 0.044 * gap, 6 * np.pi / 4 * 0.008**2
        ring_loss = 1.5 + 0.04 * 0.010 / (2 * gap)
        # the same leakage through both: w_r A_r = w_h A_h, losses add to the difference
        per_square = ring_loss / ring_area**2 + 2.0 / hole_area**2
        leakage = np.sqrt((ahead - eye) / (0.5 * rho * per_square))
        chamber = eye + 0.5 * rho * 2.0 * (leakage / hole_area) ** 2
        inside = chamber - 0.5 * rho * (0.45 * omega) ** 2 * (0.044**2 - middle**2)
        push = np.where(middle > 0.044, room, np.where(middle > 0.0225, inside, 0.0))       # towards the suction
        push = push - np.where(middle > 0.040, room, eye)
        rear = solved.solution.states.pressure[case, stations.index("7")]
        front = solved.solution.states.pressure[case, stations.index("8")]
        ring = middle < 0.048
        push = push + np.where(ring, rear - 0.5 * rho * (0.43 * omega) ** 2 * (0.048**2 - middle**2), 0.0)
        push = push - np.where(ring & (middle > 0.0225),
                               front - 0.5 * rho * (0.47 * omega) ** 2 * (0.048**2 - middle**2), 0.0)
        expected = float((push * area).sum() - rho * flow**2 / (np.pi * 0.040**2))
        ours = getattr(situation.thrust, clearance).total[case]
        # faces of 10 kN and more cancel to a few hundred newton: 1 N is 1e-4 of them (edges fall inside a ring)
        against("side-room-pressure", "derived", f"axial thrust, {clearance} ring, case {case}", ours, expected,
                abs=2.0, unit="N")
