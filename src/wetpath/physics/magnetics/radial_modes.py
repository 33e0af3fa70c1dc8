"""Radial modes of the space between the yokes, in which rings of finite length have an exact axial field."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from wetpath.physics.magnetics.ring_field import CrossSection
from wetpath.physics.published import published

Array = NDArray[np.float64]


class RadialModes(NamedTuple):
    """Modes of each order: axial decay, shape at the nodes, and how strongly each ring drives them."""

    order: Array        # (n,) circumferential order
    node: Array         # (node,) radii [m]
    layers: tuple[slice, slice, slice]   # nodes of the inner magnets, of the gap, of the outer magnets
    decay: Array        # (n, mode) lambda [1/m2]; a mode dies out axially as exp(-sqrt(lambda) z)
    shape: Array        # (n, node, mode) potential [-], normalised to 1 = integral of mu r shape^2 dr
    inner: Array        # (n, mode) drive of the inner ring [T m per T]
    outer: Array        # (n, mode) drive of the outer ring [T m per T]

    @property
    def degree(self) -> int:
        """Polynomial degree in each layer."""
        return self.layers[0].stop - self.layers[0].start - 1

    def potentials(self) -> tuple[Array, Array]:
        """mu0 x potential of each ring without ends, per tesla, at the nodes; each (n, node) [T m]."""
        inner, outer = (np.einsum("naj,nj->na", self.shape, drive / self.decay)
                        for drive in (self.inner, self.outer))
        return inner, outer


def gauss_lobatto(degree: int) -> tuple[Array, Array, Array]:
    """Nodes and weights on [-1, 1], both ends included, and the matrix that differentiates at the nodes."""
    top = np.zeros(degree + 1)
    top[degree] = 1
    node = np.concatenate([[-1.0], np.sort(legendre.legroots(legendre.legder(top)).real), [1.0]])
    value = legendre.legval(node, top)
    weight = 2 / (degree * (degree + 1) * value**2)
    distance = node[:, None] - node
    np.fill_diagonal(distance, 1.0)
    derivative = value[:, None] / value / distance
    np.fill_diagonal(derivative, 0.0)
    derivative[0, 0], derivative[-1, -1] = -degree * (degree + 1) / 4, degree * (degree + 1) / 4
    return node, weight, derivative


def _edges(section: CrossSection, lowest: float) -> tuple[list[float], int]:
    """Radii of the layers from iron to iron, and the number of the layer of the inner magnets.

    Iron farther off than seven decay lengths of the lowest order might as well not be there. Space behind the
    magnets takes two layers, so that the potential, a power of the radius, is met as well there.
    """
    reach = np.exp(7 / lowest)
    edges = list(section[:4])
    inner = 0
    if section.inner_iron is not None and section.inner_iron < section.inner_back:
        far = max(section.inner_iron, section.inner_back / reach)
        edges[:0] = [far, float(np.sqrt(far * section.inner_back))]
        inner = 2
    if section.outer_iron is not None and section.outer_iron > section.outer_back:
        far = min(section.outer_iron, section.outer_back * reach)
        edges += [float(np.sqrt(far * section.outer_back)), far]
    return edges, inner


@published("ring-field-radial-modes", status="derived")
def radial_modes(order: Array, section: CrossSection, inner: tuple[Array, Array], outer: tuple[Array, Array],
                 degree: int | None = None) -> RadialModes:
    r"""Solve for the radial modes of each circumferential order, and what each magnet ring feeds into them.

    With :math:`\psi = \sum_j v_j(r)\,g_j(z)\cos n\theta`, the modes of

    .. math:: -\frac{1}{r}(\mu r v')' + \mu\frac{n^2}{r^2} v = \lambda\mu v,\quad v = 0\text{ on the iron}

    leave one equation each along the axis, :math:`-g_j'' + \lambda_j g_j = s_j f(z)`, f being 1 along the
    magnets and 0 beyond, which ``end_effect`` solves in closed form: no axial series, no period, no truncated
    length.

    Parameters
    ----------
    order : array (n,) [-]
    section : CrossSection
    inner, outer : pair of arrays (n,) [-]
        Magnetisation harmonics of each ring per tesla (``magnet_harmonics``).
    degree : int, optional
        Polynomial degree in each layer (Gauss-Lobatto spectral elements). By default 10, which gives the torque
        to 1e-8 and the field at the shell to 1e-6, and more for layers deep against the shortest pole pitch.

    Notes
    -----
    Iron infinitely permeable and longer than the magnets; the permeability of each magnet layer continues
    beyond the magnets' ends.

    References
    ----------
    .. [1] Separation of variables; derived.

    Examples
    --------
    >>> from wetpath.physics.magnetics.magnet_harmonics import radial_magnetisation
    >>> order = np.array([4.0])
    >>> arc = radial_magnetisation(order, 4, 0.85)
    >>> modes = radial_modes(order, CrossSection(0.034, 0.040, 0.044, 0.050), arc, arc)
    >>> (1 / np.sqrt(modes.decay[0, :2])).round(5)     # how far the first two modes reach past the ends [m]
    array([0.00458, 0.00247])
    """
    edges, first = _edges(section, float(order[0]))
    if degree is None:
        deepest = max(np.log(end / start) for start, end in pairwise(section[:4]))
        degree = int(np.clip(np.ceil(7 + 0.35 * order[-1] * deepest), 10, 24))
    abscissa, weight, derivative = gauss_lobatto(degree)
    layers = [slice(layer * degree, (layer + 1) * degree + 1) for layer in range(len(edges) - 1)]
    permeability = [1.0] * len(layers)
    permeability[first], permeability[first + 2] = section.inner_permeability, section.outer_permeability
    count = layers[-1].stop
    node, angular, mass = np.zeros(count), np.zeros(count), np.zeros(count)
    stiff = np.zeros((count, count))
    drives = {first: np.zeros((order.size, count)), first + 2: np.zeros((order.size, count))}
    for layer, here in enumerate(layers):
        half = (edges[layer + 1] - edges[layer]) / 2
        radius = edges[layer] + half * (abscissa + 1)
        node[here] = radius
        stiff[here, here] += permeability[layer] / half * (derivative.T * (weight * radius)) @ derivative
        angular[here] += permeability[layer] * half * weight / radius
        mass[here] += permeability[layer] * half * weight * radius
        if layer in drives:
            radial, tangential = inner if layer == first else outer
            drives[layer][:, here] = (np.multiply.outer(radial, (weight * radius) @ derivative)
                                      - np.multiply.outer(order * tangential, half * weight))
    free = slice(1, count - 1)
    scale = 1 / np.sqrt(mass[free])
    matrix = np.repeat((scale[:, None] * stiff[free, free] * scale)[None], order.size, axis=0)
    diagonal = np.arange(count - 2)
    matrix[:, diagonal, diagonal] += np.multiply.outer(order**2, angular[free] * scale**2)
    decay, vector = np.linalg.eigh(matrix)
    shape = np.zeros((order.size, count, count - 2))
    shape[:, free] = scale[None, :, None] * vector
    driven_inner, driven_outer = (np.einsum("na,naj->nj", drive, shape) for drive in drives.values())
    return RadialModes(order, node, (layers[first], layers[first + 1], layers[first + 2]), decay, shape,
                       driven_inner, driven_outer)


def slope_rows(modes: RadialModes, radius: Array) -> Array:
    """Rows that read the slope of a nodal function at radii within the gap; (radius, node)."""
    gap = modes.layers[1]
    start, end = modes.node[gap][0], modes.node[gap][-1]
    half = (end - start) / 2
    abscissa, _, derivative = gauss_lobatto(modes.degree)
    local = (np.atleast_1d(radius) - start) / half - 1
    vandermonde = legendre.legvander(abscissa, modes.degree)
    value = np.linalg.solve(vandermonde.T, legendre.legvander(local, modes.degree).T).T
    rows = np.zeros((local.size, modes.node.size))
    rows[:, gap] = value @ derivative / half
    return rows
