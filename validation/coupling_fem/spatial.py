"""Three-dimensional finite elements of a coupling: one pole pair, half its length, in (ln r, theta, z).

Scalar potential for the field of the magnets (air between them), iron infinitely permeable; then the current in the
whole thickness of the shell from its electric vector potential, without the currents' own field, which the loss
takes as 1/(1 + w^2). Iron either ends with the magnets or runs on without end.
"""

import numpy as np
from grid import graded, solid
from ngsolve import (
    H1,
    BilinearForm,
    CGSolver,
    CoefficientFunction,
    GridFunction,
    HCurl,
    InnerProduct,
    Integrate,
    LinearForm,
    Periodic,
    Preconditioner,
    TaskManager,
    cos,
    curl,
    dx,
    exp,
    grad,
    sin,
    x,
    y,
)
from planar import MU0, _round, magnet_pieces


class Spatial:
    """Mesh, field and losses of one coupling at one load angle [electrical rad]."""

    def __init__(self, case, angle, order=2, fineness=1.0, iron_ends=True):
        self.case, self.order, self.iron_ends = case, order, iron_ends
        p = case.pole_pairs
        self.period = 2 * np.pi / p
        self.pieces, cut = [], [0.0, self.period]
        for ring in (0, 1):
            pieces, _ = magnet_pieces(case, ring, 0.0 if ring == 0 else angle / p)
            self.pieces.append(pieces)
            for start, end, *_ in pieces:
                cut += [start % self.period, end % self.period]
        cut = np.unique(np.round(cut, 12))
        cut = cut[np.concatenate([[True], np.diff(cut) > 1e-9])]
        step = fineness * self.period / 20
        theta = graded(list(cut), step, step / 4)
        r1, r2, r3, r4 = case.radii
        radii = [r1, r2, *case.wall, r3, r4]
        if iron_ends:
            radii = [r1 * np.exp(-4 / p), *radii, r4 * np.exp(4 / p)]
        deep = np.log(r4 / r1) / 6 * fineness
        s = graded(list(np.log(radii)), deep, deep / 4)
        half = case.length / 2
        far = half + 4 * np.pi * (r2 + r3) / 2 / p / 2
        reach = 0.6 * (r4 - r1) * fineness
        z = graded(sorted({0.0, half, case.wall_end, far}), reach, reach / 6)
        self.mesh = solid(s, theta, z, self._material, self._boundary)
        mu, m_r, m_t = {}, {}, {}
        for ring, name in enumerate(("inner", "outer")):
            for index, (_, _, sign, direction) in enumerate(self.pieces[ring]):
                key = f"{name}_{index}"
                mu[key], strength = case.permeability[ring], sign * case.remanence[ring]
                if direction is None:
                    m_r[key], m_t[key] = strength, 0.0
                else:
                    off = y - direction
                    off = off - self.period * _round(off / self.period)
                    m_r[key], m_t[key] = strength * cos(off), -strength * sin(off)
        materials = self.mesh.GetMaterials()
        self.mu = CoefficientFunction([mu.get(name, 1.0) for name in materials])
        self.m_r, self.m_t = (CoefficientFunction([table.get(name, 0.0) for name in materials]) for table in (m_r, m_t))

    def _material(self, s, theta, z):
        radius, half = np.exp(s), self.case.length / 2
        r1, r2, r3, r4 = self.case.radii
        if (radius < r1 or radius > r4) and z < half:
            return None                               # iron
        for ring, (low, high, name) in enumerate(((r1, r2, "inner"), (r3, r4, "outer"))):
            if low < radius < high and z < half:
                for index, (start, end, *_) in enumerate(self.pieces[ring]):
                    if (theta - start) % self.period < end - start:
                        return f"{name}_{index}"
        if self.case.wall[0] < radius < self.case.wall[1] and z < self.case.wall_end:
            return "wall"
        return "gap_inside" if r2 < radius < self.case.wall[0] else "air"

    def _boundary(self, name, neighbour, place):
        if "wall" in (name, neighbour) and name != neighbour and not (neighbour is None and place[2] == 0.0):
            return "wall_surface"
        if neighbour is not None or place[2] == 0.0:
            return None
        return "iron"                                 # iron, and the far ends of the air, at potential 0

    def solve(self):
        """Solve for the scalar potential."""
        fes = Periodic(H1(self.mesh, order=self.order, dirichlet="iron"))
        u, v = fes.TnT()
        a, f = BilinearForm(fes, symmetric=True, condense=True), LinearForm(fes)
        a += self.mu * (grad(u)[0] * grad(v)[0] + grad(u)[1] * grad(v)[1] + exp(2 * x) * grad(u)[2] * grad(v)[2]) * dx
        f += exp(x) * (self.m_r * grad(v)[0] + self.m_t * grad(v)[1]) * dx(
            definedon=self.mesh.Materials("inner_.*|outer_.*"))
        coarse = Preconditioner(a, "bddc")
        with TaskManager():
            a.Assemble()
            f.Assemble()
            self.potential = GridFunction(fes)
            f.vec.data += a.harmonic_extension_trans * f.vec
            solver = CGSolver(a.mat, coarse.mat, tol=1e-9, maxiter=400)
            self.potential.vec.data = solver * f.vec
            self.potential.vec.data += a.harmonic_extension * self.potential.vec
            self.potential.vec.data += a.inner_solve * f.vec
        self.iterations = solver.iterations
        self.unknowns = fes.ndof
        return self

    def torque(self):
        """Torque on the inner ring of full length, from the stress averaged between it and the shell."""
        slope = grad(self.potential)
        stress = Integrate(slope[0] * slope[1], self.mesh, definedon=self.mesh.Materials("gap_inside"),
                           order=2 * self.order)
        return 2 * self.case.pole_pairs / MU0 * stress / np.log(self.case.wall[0] / self.case.radii[1])

    def loss(self, conductivity, speed):
        """Loss in the shell of full length, and the part of it in each fifth of the half wall from the middle."""
        wall = self.mesh.Materials("wall")
        smooth = Periodic(H1(self.mesh, order=self.order, definedon=wall))
        u, v = smooth.TnT()
        turning = GridFunction(smooth)
        mass, right = BilinearForm(smooth, symmetric=True), LinearForm(smooth)
        mass += u * v * dx(definedon=wall)
        right += grad(self.potential)[1] * v * dx(definedon=wall)
        space = Periodic(HCurl(self.mesh, order=self.order, nograds=True, definedon=wall, dirichlet="wall_surface"))
        t, w = space.TnT()
        a, f = BilinearForm(space, symmetric=True), LinearForm(space)
        current = curl(t)
        a += (current[0] * curl(w)[0] + current[1] * curl(w)[1] + exp(-2 * x) * current[2] * curl(w)[2]) * dx(
            definedon=wall)
        a += 1e-7 * InnerProduct(t, w) * dx(definedon=wall)
        change = grad(turning)
        f += (change[0] * w[0] + change[1] * w[1] + exp(2 * x) * change[2] * w[2]) * dx(definedon=wall)
        with TaskManager():
            mass.Assemble()
            right.Assemble()
            turning.vec.data = mass.mat.Inverse(smooth.FreeDofs(), inverse="sparsecholesky") * right.vec
            a.Assemble()
            f.Assemble()
            solution = GridFunction(space)
            solution.vec.data = a.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky") * f.vec
        j = curl(solution)
        density = j[0] ** 2 + j[1] ** 2 + exp(-2 * x) * j[2] ** 2
        total = Integrate(density, self.mesh, definedon=wall, order=2 * self.order + 2)
        return float(2 * self.case.pole_pairs * conductivity * speed**2 * total)
