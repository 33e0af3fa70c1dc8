"""Tensor meshes in (ln r, theta) or (ln r, theta, z), periodic over one pole pair, graded towards given places."""

from itertools import pairwise

import numpy as np
from netgen.meshing import Element1D, Element2D, Element3D, FaceDescriptor, Mesh, MeshPoint, Pnt
from ngsolve import Mesh as FieldMesh


def graded(breaks, coarse, fine, ratio=2.0):
    """Places from breaks[0] to breaks[-1] with steps of ``fine`` at every break, growing to ``coarse`` between."""
    places = [breaks[0]]
    for start, end in pairwise(breaks):
        length = end - start
        steps = []
        step = min(fine, length / 2)
        while 2 * (sum(steps) + step) < length:
            steps.append(step)
            step = min(step * ratio, coarse)
        rest = length - 2 * sum(steps)
        count = max(int(np.ceil(rest / coarse)), 1) if rest > 1e-3 * fine else 0
        widths = np.array(steps + [rest / max(count, 1)] * count + steps[::-1])
        places.extend(start + np.cumsum(widths) * length / widths.sum())
        places[-1] = end
    return np.array(places)


def plane(s, theta, material):
    """Quadrilaterals; ``material(s, theta)`` names the cell at its middle; periodic in theta."""
    mesh = Mesh(dim=2)
    names = []
    ids = [[mesh.Add(MeshPoint(Pnt(x, y, 0))) for y in theta] for x in s]
    for i in range(len(s) - 1):
        for j in range(len(theta) - 1):
            name = material((s[i] + s[i + 1]) / 2, (theta[j] + theta[j + 1]) / 2)
            if name not in names:
                names.append(name)
                mesh.Add(FaceDescriptor(surfnr=len(names), domin=len(names), bc=len(names)))
                mesh.SetMaterial(len(names), name)
            mesh.Add(Element2D(names.index(name) + 1,
                               [ids[i][j], ids[i + 1][j], ids[i + 1][j + 1], ids[i][j + 1]]))
    for number, row in ((1, ids[0]), (2, ids[-1])):
        mesh.SetBCName(number - 1, ("innermost", "outermost")[number - 1])
        for start, end in pairwise(row):
            mesh.Add(Element1D([start, end], index=number))
    for row in ids:
        mesh.AddPointIdentification(row[0], row[-1], identnr=1, type=2)
    return FieldMesh(mesh)


def solid(s, theta, z, material, boundary):
    """Hexahedra; ``material(s, theta, z)`` names a cell at its middle, None leaves it out; periodic in theta.

    ``boundary(name, neighbour, place)`` names the face between a cell and its neighbour's material (None outside)
    or returns None for no boundary; ``place`` is the middle of the face.
    """
    mesh = Mesh(dim=3)
    ids = np.empty((len(s), len(theta), len(z)), dtype=object)
    shape = (len(s) - 1, len(theta) - 1, len(z) - 1)
    middle = [(c[:-1] + c[1:]) / 2 for c in (s, theta, z)]
    names = np.empty(shape, dtype=object)
    for index in np.ndindex(*shape):
        names[index] = material(*(m[i] for m, i in zip(middle, index, strict=True)))

    def point(i, j, k):
        if ids[i, j, k] is None:
            ids[i, j, k] = mesh.Add(MeshPoint(Pnt(s[i], theta[j], z[k])))
        return ids[i, j, k]

    used = sorted({name for name in names.ravel() if name})
    for number, name in enumerate(used, 1):
        mesh.SetMaterial(number, name)
    sides = {}
    for index in np.ndindex(*shape):
        if names[index] is None:
            continue
        i, j, k = index
        base = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
        corners = [point(a, b, k) for a, b in base] + [point(a, b, k + 1) for a, b in base]
        mesh.Add(Element3D(used.index(names[index]) + 1, corners))
        for axis in (0, 2):
            for step in (0, 1):
                other = list(index)
                other[axis] += 2 * step - 1
                outside = not 0 <= other[axis] < shape[axis]
                neighbour = None if outside else names[tuple(other)]
                if not outside and neighbour is not None and step == 0:
                    continue                          # seen from the other side
                place = [m[n] for m, n in zip(middle, index, strict=True)]
                place[axis] = (s, theta, z)[axis][index[axis] + step]
                name = boundary(names[index], neighbour, place)
                if name:
                    shifted = (i + step, j, k) if axis == 0 else (i, j, k + step)
                    sides.setdefault(name, []).append(_face(*shifted, axis, point))
    for number, (name, faces) in enumerate(sorted(sides.items()), 1):
        mesh.Add(FaceDescriptor(surfnr=number, domin=1, domout=0, bc=number))
        mesh.SetBCName(number - 1, name)
        for face in faces:
            mesh.Add(Element2D(number, face))
    for i in range(len(s)):
        for k in range(len(z)):
            if ids[i, 0, k] is not None:
                mesh.AddPointIdentification(ids[i, 0, k], ids[i, -1, k], identnr=1, type=2)
    return FieldMesh(mesh)


def _face(i, j, k, axis, point):
    if axis == 0:
        return [point(i, j, k), point(i, j + 1, k), point(i, j + 1, k + 1), point(i, j, k + 1)]
    return [point(i, j, k), point(i + 1, j, k), point(i + 1, j + 1, k), point(i, j + 1, k)]
