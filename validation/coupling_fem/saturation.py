"""How much torque a coupling loses when its yokes saturate; writes ``saturation.json``: python saturation.py

Plane field of case A2 at its pull-out angle with yokes of mild steel of several thicknesses, no flux beyond them.
Reluctivity 3.8 exp(2.17 B^2) + 396.2 m/H (Brauer, IEEE Trans. Magn. 11 (1975) 81, mild steel; coefficients
recalled), found by relaxed repetition.
"""

import dataclasses
import json
from pathlib import Path

import numpy as np
from cases import BY_NAME
from ngsolve import (
    H1,
    L2,
    BilinearForm,
    GridFunction,
    IfPos,
    InnerProduct,
    LinearForm,
    Periodic,
    TaskManager,
    dx,
    exp,
    grad,
    log,
    x,
)
from planar import MU0, Planar
from run_planar import plain

TARGET = Path(__file__).parent / "saturation.json"


def saturated_torque(case, angle, order=2, fineness=1.4):
    model = Planar(case, angle, order, fineness, yoke_permeability=1000.0)
    mesh = model.mesh
    fes = Periodic(H1(mesh, order=order, dirichlet="innermost|outermost"))
    u, v = fes.TnT()
    yokes, rest = mesh.Materials("inner_yoke|outer_yoke"), mesh.Materials("gap|wall|air|inner_[0-9s].*|outer_[0-9s].*")
    exponent = GridFunction(L2(mesh, order=order))
    exponent.Set(np.log(1e-3))
    reluctivity = exp(exponent)
    a = BilinearForm(fes, symmetric=True)
    a += 1 / model.mu * InnerProduct(grad(u), grad(v)) * dx(definedon=rest)
    a += reluctivity * InnerProduct(grad(u), grad(v)) * dx(definedon=yokes)
    f = LinearForm(fes)
    f += exp(x) / model.mu * (model.m_r * grad(v)[1] - model.m_t * grad(v)[0]) * dx(
        definedon=mesh.Materials("inner_[0-9]+|outer_[0-9]+"))
    f.Assemble()
    model.potential = GridFunction(fes)
    before = 0.0
    for step in range(200):
        with TaskManager():
            a.Assemble()
            model.potential.vec.data = a.mat.Inverse(fes.FreeDofs(), inverse="sparsecholesky") * f.vec
        square = InnerProduct(grad(model.potential), grad(model.potential)) * exp(-2 * x)
        wanted = GridFunction(exponent.space)
        bounded = IfPos(square - 6.0, 6.0, square)
        wanted.Set(log(MU0 * (3.8 * exp(2.17 * bounded) + 396.2)), definedon=yokes)
        exponent.vec.data = 0.85 * exponent.vec + 0.15 * wanted.vec
        torque = model.inner_torque()
        if step > 20 and abs(torque / before - 1) < 2e-6:
            break
        before = torque
    return torque, step + 1


if __name__ == "__main__":
    case = BY_NAME["A2"]
    facing, pull_out = Planar(case, 0.0, 3).solve(), Planar(case, np.pi / 2, 3).solve()
    flux = [facing.yoke_flux(ring) for ring in (0, 1)]
    full = pull_out.inner_torque()
    rows = []
    for thickness in (0.016, 0.012, 0.010, 0.008, 0.007, 0.006, 0.005, 0.004):
        torque, steps = saturated_torque(dataclasses.replace(case, yoke=thickness), np.pi / 2)
        rows.append(plain({"yoke": thickness, "density_facing": [value / thickness for value in flux],
                           "torque_over_that_of_ideal_iron": torque / full, "steps": steps}))
        print(rows[-1], flush=True)
    TARGET.write_text(json.dumps({"case": "A2", "angle": 90, "rows": rows}, indent=1) + "\n")
