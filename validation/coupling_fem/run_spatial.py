"""Run cases with their ends and write ``spatial.json``: python run_spatial.py [case ...]"""

import json
import sys
import time
from pathlib import Path

import ngsolve
import numpy as np
from cases import BY_NAME
from run_planar import plain
from spatial import Spatial

TARGET = Path(__file__).parent / "spatial.json"
DEFAULT = ("A1", "A2", "A3", "A4", "B1", "B2")


def one(case):
    speed, conductivity, angle = case.speed * np.pi / 30, 1 / case.resistivity, np.radians(case.angle)
    row = {"angle": case.angle}
    for name, order, iron_ends in (("coarse", 2, True), ("iron_ends", 3, True), ("iron_runs_on", 3, False)):
        model = Spatial(case, angle, order, 2.5, iron_ends).solve()
        row[name] = {"torque": model.torque(), "loss_without_reaction": model.loss(conductivity, speed),
                     "unknowns": model.unknowns}
    return row


if __name__ == "__main__":
    results = json.loads(TARGET.read_text()) if TARGET.exists() else {}
    results["program"] = f"ngsolve {ngsolve.__version__}"
    for case in [BY_NAME[name] for name in sys.argv[1:] or DEFAULT]:
        start = time.time()
        results[case.name] = plain(one(case))
        TARGET.write_text(json.dumps(results, indent=1) + "\n")
        print(f"{case.name}: {time.time() - start:.0f} s", flush=True)
