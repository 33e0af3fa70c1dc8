"""Torque and axial force of couplings without iron by magpylib; writes ``without_iron.json``.

Permeability 1. Each radial arc is cut into pieces of one direction; the outer ring's field acts on the magnetic
surface charge of one inner magnet, times the number of magnets. Run: python run_magpylib.py
"""

import json
import sys
from pathlib import Path

import magpylib
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "coupling_fem"))
from cases import BY_NAME

MU0 = 4e-7 * np.pi
TARGET = Path(__file__).parent / "without_iron.json"
#: case, outer ring's offset [m], load angle [electrical deg]
STATES = (("A1", 0.0, 45), ("A2", 0.0, 90), ("A4", 0.0, 60), ("B1", 0.0, 60), ("A1", 0.004, 0), ("A1", 0.004, 60),
          ("A2", 0.010, 30))


def pieces(case, ring, count):
    """Direction and half width of the pieces of the magnet whose middle is at angle 0."""
    half = case.arcs[ring] * np.pi / (2 * case.pole_pairs)
    cuts = np.linspace(-half, half, count + 1)
    return (cuts[:-1] + cuts[1:]) / 2, half / count


def outer_ring(case, offset, angle, count):
    ring = magpylib.Collection()
    middles, half = pieces(case, 1, count)
    for pole in range(2 * case.pole_pairs):
        for middle in middles:
            direction = pole * np.pi / case.pole_pairs + middle + angle / case.pole_pairs
            strength = case.remanence[1] * (-1) ** pole
            ring.add(magpylib.magnet.CylinderSegment(
                polarization=(strength * np.cos(direction), strength * np.sin(direction), 0),
                dimension=(case.radii[2], case.radii[3], case.length, np.degrees(direction - half),
                           np.degrees(direction + half)), position=(0, 0, offset)))
    return ring


def load_on_inner(case, offset, angle, count, points):
    """Torque [N m] and axial force [N] on the inner ring."""
    ring = outer_ring(case, offset, angle, count)
    x, weight = np.polynomial.legendre.leggauss(points)
    z, z_weight = case.length / 2 * x, case.length / 2 * weight
    r1, r2 = case.radii[:2]
    middles, half = pieces(case, 0, count)
    torque = force = 0.0
    for middle in middles:
        faces = []
        theta = middle + half * x
        for radius, outward in ((r2, 1.0), (r1, -1.0)):
            faces.append((np.full(points, radius), theta, half * weight * radius, outward * np.cos(theta - middle)))
        across = (r1 + r2) / 2 + (r2 - r1) / 2 * x
        for edge, outward in ((middle + half, 1.0), (middle - half, -1.0)):     # sides: M . theta_hat
            faces.append((across, np.full(points, edge), (r2 - r1) / 2 * weight,
                          np.full(points, -outward * np.sin(edge - middle))))
        for radius, theta, length, charge in faces:
            place = np.array([(r * np.cos(a), r * np.sin(a), h) for r, a in zip(radius, theta, strict=True) for h in z])
            field = ring.getB(place).reshape(points, points, 3)
            turning = -field[..., 0] * np.sin(theta)[:, None] + field[..., 1] * np.cos(theta)[:, None]
            area = np.outer(length * charge, z_weight) * case.remanence[0] / MU0
            torque += float((area * radius[:, None] * turning).sum())
            force += float((area * field[..., 2]).sum())
    return 2 * case.pole_pairs * torque, 2 * case.pole_pairs * force


if __name__ == "__main__":
    rows = []
    for name, offset, degrees in STATES:
        case = BY_NAME[name]
        count = 1 if case.magnetisation == "parallel" else 12
        coarse, fine = (load_on_inner(case, offset, np.radians(degrees), pieces_, points)
                        for pieces_, points in ((max(count // 2, 1), 8), (count, 12)))
        rows.append({"case": name, "offset": offset, "angle": degrees, "torque": round(fine[0], 5),
                     "axial_force": round(fine[1], 4), "torque_coarse": round(coarse[0], 5),
                     "axial_force_coarse": round(coarse[1], 4)})
        print(rows[-1], flush=True)
    TARGET.write_text(json.dumps({"program": f"magpylib {magpylib.__version__}", "rows": rows}, indent=1) + "\n")
