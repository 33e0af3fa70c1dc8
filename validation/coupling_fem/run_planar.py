"""Run the plane cases and write ``planar.json``: python run_planar.py [case ...]"""

import json
import sys
import time
from pathlib import Path

import ngsolve
import numpy as np
from cases import BY_NAME, CASES
from planar import Planar

TARGET = Path(__file__).parent / "planar.json"


def one(case):
    speed, conductivity, angle = case.speed * np.pi / 30, 1 / case.resistivity, np.radians(case.angle)
    coarse, fine = (Planar(case, angle, order, fineness) for order, fineness in ((2, 1.4), (3, 1.0)))
    row = {"angle": case.angle}
    changes = {}
    for model, name in ((coarse, "coarse"), (fine, "fine")):
        model.solve()
        torque, field = model.inner_torque(), model.shell_harmonics()
        flux = [model.yoke_flux(ring) for ring in (0, 1)]
        model.solve(conductivity, speed)
        changes[name] = np.array([torque, model.loss(conductivity, speed)])
        unknowns = model.unknowns
    row |= {"torque": torque, "field_harmonics": field, "yoke_flux": flux, "loss": changes["fine"][1],
            "inner_torque": fine.inner_torque(), "outer_torque": fine.outer_torque(), "unknowns": unknowns,
            "change_of_torque_and_loss_from_coarse": list(np.abs(changes["coarse"] / changes["fine"] - 1))}
    fine.solve(conductivity, speed, rings=(0.0, 1.0))
    row["loss_outer_only"] = fine.loss(conductivity, speed)
    row["torque_uniform_rings"] = Planar(case, angle, 3, air_between=False).solve().inner_torque()
    row["torque_iron_2000"] = Planar(case, angle, 3, yoke_permeability=2000.0).solve().inner_torque()
    curve = {}
    for degrees in range(15, 180, 15):
        curve[str(degrees)] = Planar(case, np.radians(degrees), 3).solve().inner_torque()
    row["torque_curve"] = curve
    facing = Planar(case, 0.0, 3).solve()
    row["yoke_flux_facing"] = [facing.yoke_flux(ring) for ring in (0, 1)]
    opposing = Planar(case, np.pi, 3).solve()
    row["opposing_field"] = [dict(zip(("least", "mean"), opposing.magnet_field(ring), strict=True))
                             for ring in (0, 1)]
    return row


def plain(value):
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, np.ndarray)):
        return [plain(item) for item in value]
    return float(f"{value:.8g}") if isinstance(value, (float, np.floating)) else value


if __name__ == "__main__":
    results = json.loads(TARGET.read_text()) if TARGET.exists() else {}
    results["program"] = f"ngsolve {ngsolve.__version__}"
    for case in [BY_NAME[name] for name in sys.argv[1:]] or CASES:
        start = time.time()
        results[case.name] = plain(one(case))
        TARGET.write_text(json.dumps(results, indent=1) + "\n")
        print(f"{case.name}: {time.time() - start:.0f} s", flush=True)
