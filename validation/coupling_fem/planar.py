"""Two-dimensional finite elements of a coupling: vector potential over one pole pair, in (ln r, theta).

Independent of the series solution: vector instead of scalar potential, magnets as they are with air between them,
the shell moving past with its own currents, iron either infinitely permeable (natural boundary) or a layer of its
own with air beyond it.
"""

import numpy as np
from grid import graded, plane
from ngsolve import (
    H1,
    BilinearForm,
    CoefficientFunction,
    GridFunction,
    IfPos,
    InnerProduct,
    Integrate,
    LinearForm,
    Periodic,
    TaskManager,
    cos,
    dx,
    exp,
    grad,
    sin,
    x,
    y,
)

MU0 = 4e-7 * np.pi


def magnet_pieces(case, ring, shift):
    """(start, end, sign, direction or None for radial) of every magnet piece, angles in [0, period)."""
    period, pitch = 2 * np.pi / case.pole_pairs, np.pi / case.pole_pairs
    pieces = []
    for pole, sign in ((0, 1.0), (1, -1.0)):
        middle = pole * pitch + shift
        half = case.arcs[ring] * pitch / 2
        for piece in range(case.segments):
            start = middle - half + 2 * half * piece / case.segments
            end = middle - half + 2 * half * (piece + 1) / case.segments
            direction = (start + end) / 2 if case.magnetisation == "parallel" else None
            pieces.append((start, end, sign, direction))
    return pieces, period


class Planar:
    """Mesh and materials of one coupling at one load angle [electrical rad]."""

    def __init__(self, case, angle, order=5, fineness=1.0, air_between=True, yoke_permeability=None):
        self.case, self.order = case, order
        p = case.pole_pairs
        self.shift = (0.0, angle / p)
        self.period = 2 * np.pi / p
        r1, r2, r3, r4 = case.radii
        r = [r1, r2, case.wall[0], case.wall[1], r3, r4]
        if yoke_permeability:
            r = [max(r1 - case.yoke, 1e-3), *r, r4 + case.yoke]
        self.breaks = np.log(r)
        cut = [0.0, self.period]
        self.pieces = []
        for ring in (0, 1):
            pieces, _ = magnet_pieces(case, ring, self.shift[ring])
            self.pieces.append(pieces)
            for start, end, *_ in pieces:
                cut += [start % self.period, end % self.period]
        cut = np.unique(np.round(cut, 12))
        cut = cut[np.concatenate([[True], np.diff(cut) > 1e-9])]
        step = fineness * self.period / 40
        theta = graded(list(cut), step, step / 16)
        thin = min(np.diff(self.breaks))
        s = graded(list(self.breaks), min(step, (np.log(r4 / r1)) / 10 * fineness), min(thin / 2, step / 16))
        self.yoke_permeability = yoke_permeability
        self.mesh = plane(s, theta, self._material)
        self.air_between = air_between
        mu = {"gap": 1.0, "wall": 1.0, "air": 1.0, "inner_yoke": yoke_permeability or 1.0,
              "outer_yoke": yoke_permeability or 1.0}
        m_r, m_t = {}, {}
        for ring, name in enumerate(("inner", "outer")):
            mu[f"{name}_space"] = 1.0 if air_between else case.permeability[ring]
            for index, (_, _, sign, direction) in enumerate(self.pieces[ring]):
                key = f"{name}_{index}"
                mu[key] = case.permeability[ring]
                strength = sign * case.remanence[ring]
                # y runs over one period only; a piece that wraps round is counted from its own middle.
                if direction is None:
                    m_r[key], m_t[key] = strength, 0.0
                else:
                    off = y - direction
                    wrapped = off - self.period * _round(off / self.period)
                    m_r[key], m_t[key] = strength * cos(wrapped), -strength * sin(wrapped)
        self.mu = self._by_material(mu)
        self.m_r, self.m_t = self._by_material(m_r), self._by_material(m_t)

    def _by_material(self, values):
        return CoefficientFunction([values.get(name, 0.0) for name in self.mesh.GetMaterials()])

    def _material(self, s, theta):
        radius = np.exp(s)
        r1, r2, r3, r4 = self.case.radii
        if radius < r1:
            return "inner_yoke"
        if radius > r4:
            return "outer_yoke"
        for ring, (low, high, name) in enumerate(((r1, r2, "inner"), (r3, r4, "outer"))):
            if low < radius < high:
                for index, (start, end, *_) in enumerate(self.pieces[ring]):
                    if (theta - start) % self.period < end - start:
                        return f"{name}_{index}"
                return f"{name}_space"
        return "wall" if self.case.wall[0] < radius < self.case.wall[1] else "gap"

    def solve(self, conductivity=0.0, speed=0.0, rings=(1.0, 1.0)):
        """Solve for the vector potential; ``rings`` scales the magnets of each ring (0 switches it off)."""
        edges = "innermost|outermost" if self.yoke_permeability else ""       # no flux beyond yokes of steel
        fes = Periodic(H1(self.mesh, order=self.order, dirichlet=edges))
        u, v = fes.TnT()
        a = BilinearForm(fes)
        a += 1 / self.mu * InnerProduct(grad(u), grad(v)) * dx
        a += 1e-9 * u * v * dx         # fixes the constant; all edges are free: iron beyond, or nothing
        if conductivity:
            a += -MU0 * conductivity * speed * grad(u)[1] * v * exp(2 * x) * dx(
                definedon=self.mesh.Materials("wall"))
        f = LinearForm(fes)
        for ring, name in enumerate(("inner", "outer")):
            region = self.mesh.Materials(f"{name}_[0-9]+")
            f += rings[ring] * exp(x) / self.mu * (self.m_r * grad(v)[1] - self.m_t * grad(v)[0]) * dx(
                definedon=region)
        with TaskManager():
            a.Assemble()
            f.Assemble()
            self.potential = GridFunction(fes)
            self.potential.vec.data = a.mat.Inverse(fes.FreeDofs(), inverse="umfpack") * f.vec
        self.unknowns = fes.ndof
        return self

    def torque(self, between):
        """Torque per length on what lies within the layer between two radii, from the stress averaged over it."""
        low, high = np.log(between[0]), np.log(between[1])
        inside = IfPos(x - low, IfPos(high - x, 1.0, 0.0), 0.0)
        slope = grad(self.potential)
        region = self.mesh.Materials("gap")
        stress = Integrate(inside * -slope[0] * slope[1], self.mesh, definedon=region, order=2 * self.order)
        return self.case.pole_pairs / MU0 * stress / (high - low)

    def inner_torque(self):
        return self.torque((self.case.radii[1], self.case.wall[0]))

    def outer_torque(self):
        return self.torque((self.case.wall[1], self.case.radii[2]))

    def loss(self, conductivity, speed):
        """Loss per length in the shell that the rings turn past."""
        slope = grad(self.potential)
        return self.case.pole_pairs * conductivity * speed**2 * Integrate(
            slope[1] ** 2 * exp(2 * x), self.mesh, definedon=self.mesh.Materials("wall"), order=2 * self.order + 2)

    def shell_harmonics(self, count=3, points=720):
        """Amplitudes of the radial field at mid-wall."""
        radius = sum(self.case.wall) / 2
        theta = (np.arange(points) + 0.5) / points * self.period
        slope = grad(self.potential)
        field = np.array([slope(self.mesh(np.log(radius), angle))[1] / radius for angle in theta])
        spectrum = np.fft.rfft(field) * 2 / points
        return [float(abs(spectrum[2 * k + 1])) for k in range(count)]

    def magnet_field(self, ring, reach=0.9, count=40):
        """Least B_r over the middle part of the first magnet, and its mean over the whole magnet [T]."""
        slope = grad(self.potential)
        low, high = self.case.radii[:2] if ring == 0 else self.case.radii[2:]
        half = self.case.arcs[ring] * np.pi / self.case.pole_pairs / 2
        across = reach * np.linspace(-1, 1, 2 * count + 1)
        least = min(slope(self.mesh(np.log((low + high) / 2 + (high - low) / 2 * a),
                                    (self.shift[ring] + half * b) % self.period))[1]
                    / ((low + high) / 2 + (high - low) / 2 * a) for a in across for b in across)
        name = ("inner", "outer")[ring]
        region = self.mesh.Materials("|".join(f"{name}_{k}" for k in range(self.case.segments)))
        mean = Integrate(slope[1] * exp(x), self.mesh, definedon=region)
        return float(least), float(mean / Integrate(exp(2 * x), self.mesh, definedon=region))

    def yoke_flux(self, ring):
        """Largest flux along the iron behind a ring, per length [Wb/m]."""
        radius = self.case.radii[0] * (1 + 1e-9) if ring == 0 else self.case.radii[3] * (1 - 1e-9)
        theta = (np.arange(720) + 0.5) / 720 * self.period
        values = [self.potential(self.mesh(np.log(radius), angle)) for angle in theta]
        return float((max(values) - min(values)) / 2)


def _round(value):
    """Nearest of -1, 0, 1."""
    return IfPos(value - 0.5, 1.0, IfPos(-0.5 - value, -1.0, 0.0))
