"""Two-dimensional field of one magnet ring between smooth iron yokes."""

from typing import Any, NamedTuple

import numpy as np

from wetpath.physics.published import published

Numeric = Any


class CrossSection(NamedTuple):
    """Radii [m] and relative recoil permeabilities [-] of both magnet rings.

    The inner magnets reach from ``inner_back`` to ``inner_face``, the outer ones from ``outer_face`` to
    ``outer_back``. Iron begins at their backs, or farther off where ``inner_iron`` or ``outer_iron`` say so
    (0 and infinity: none).
    """

    inner_back: float
    inner_face: float
    outer_face: float
    outer_back: float
    inner_permeability: float = 1.0
    outer_permeability: float = 1.0
    inner_iron: float | None = None
    outer_iron: float | None = None


def _coth(x: Numeric) -> Numeric:
    return 1 / np.tanh(x)


def magnet_admittances(order: Numeric, section: CrossSection) -> tuple[Numeric, Numeric]:
    """Flux r B_r per potential that each magnet layer takes up at its face, its yoke at zero [-]."""
    inner = np.log(section.inner_face / section.inner_back)
    outer = np.log(section.outer_back / section.outer_face)
    return (section.inner_permeability * order * _coth(order * inner),
            section.outer_permeability * order * _coth(order * outer))


def face_sources(order: Numeric, section: CrossSection, inner: tuple[Numeric, Numeric],
                 outer: tuple[Numeric, Numeric]) -> tuple[Numeric, Numeric]:
    r"""Flux r B_r [T m] that each ring drives through its face into a gap of zero potential.

    :math:`S = R\,m_n \mp (m_n + n q_n)\int h\,dr`, minus for the inner ring, with h the potential that is
    1 on the face and 0 on the yoke; ``inner`` and ``outer`` are the magnetisation harmonics of the rings.
    """
    near, far = section.inner_face, section.inner_back
    radial, tangential = inner
    first = near * radial - (radial + order * tangential) * _layer_integral(order, near, far)
    near, far = section.outer_face, section.outer_back
    radial, tangential = outer
    second = near * radial + (radial + order * tangential) * _layer_integral(order, near, far)
    return first, second


def _layer_integral(order: Numeric, face: Numeric, yoke: Numeric) -> Numeric:
    """Integral of h dr over the magnet layer, h = 1 on the face, 0 on the yoke [m], always positive."""
    depth = np.abs(np.log(face / yoke))
    side = np.sign(face - yoke)
    order = np.asarray(order, dtype=float)
    one = order == 1
    n = np.where(one, 2.0, order)
    passed = n * yoke / np.sinh(np.minimum(n * depth, 700.0))
    general = (face * (n * _coth(n * depth) - side) - passed) / (n**2 - 1)
    first = ((face**2 - yoke**2) / (2 * yoke) - yoke * np.log(face / yoke)) / (face / yoke - yoke / face)
    return np.where(one, np.abs(first), general)


def _across_gap(order: Numeric, travelled: Numeric, gap: Numeric, far: Numeric) -> tuple[Numeric, Numeric]:
    """Potential and flux at a depth ``travelled`` (of ln r) into the gap, per potential at its start.

    ``far`` is the admittance of the magnet layer at the other side; scaled so that no order overflows.
    """
    reflected = (order - far) * np.exp(-2 * order * gap)
    here = (order - far) * np.exp(-2 * order * (gap - travelled))
    decay = np.exp(-order * travelled) / (order + far + reflected)
    return decay * (order + far + here), order * decay * (order + far - here)


@published("ring-field-three-layers", status="derived")
def gap_field(order: Numeric, radius: Numeric, section: CrossSection, inner: tuple[Numeric, Numeric],
              outer: tuple[Numeric, Numeric]) -> tuple[Numeric, Numeric, Numeric, Numeric]:
    r"""Field harmonics in the gap between the rings, of each ring alone, per unit length.

    Solves :math:`\nabla\cdot(\mu_0\mu H + M) = 0` in the inner magnets, the gap and the outer magnets, each
    of uniform permeability, with :math:`\psi = 0` on both yokes. Each magnet layer is replaced by its
    admittance and its face source, so that only decaying exponentials occur and any order is well scaled.

    Parameters
    ----------
    order : array [-], n
        Circumferential orders; broadcasts with ``radius``.
    radius : array [m]
        Where, from ``inner_face`` to ``outer_face``.
    section : CrossSection
    inner, outer : pair of arrays [T]
        Radial and tangential magnetisation harmonics of each ring, see ``magnet_harmonics``.

    Returns
    -------
    inner_radial, inner_tangential, outer_radial, outer_tangential : array [T]
        B_r on cos(n theta) and B_theta on sin(n theta) of each ring, theta from the middle of a magnet of
        that ring which is magnetised outwards.

    Notes
    -----
    Iron infinitely permeable, smooth, directly behind the magnets (``radial_modes`` also serves iron that
    stands back); the spaces between magnets take the permeability of the magnets (see
    ``interpolar_air`` for the correction); sheath, shell and liquid have permeability 1.

    References
    ----------
    .. [1] Three-layer solution in polar coordinates; derived. The method is that of Zhu and Howe (1993).

    Examples
    --------
    >>> from wetpath.physics.magnetics.magnet_harmonics import radial_magnetisation
    >>> section = CrossSection(0.034, 0.040, 0.044, 0.050)
    >>> magnet = [1.05 * part for part in radial_magnetisation(4.0, 4, 0.85)]
    >>> [round(float(b), 6) for b in gap_field(4.0, 0.0423, section, magnet, magnet)]
    [0.437765, 0.255779, 0.484767, -0.340913]
    """
    near_inner, near_outer = magnet_admittances(order, section)
    source_inner, source_outer = face_sources(order, section, inner, outer)
    gap = np.log(section.outer_face / section.inner_face)
    depth = np.log(radius / section.inner_face)

    _, load = _across_gap(order, 0.0, gap, near_outer)
    potential, flux = _across_gap(order, depth, gap, near_outer)
    face = source_inner / (near_inner + load)
    inner_radial, inner_tangential = face * flux / radius, face * order * potential / radius

    _, load = _across_gap(order, 0.0, gap, near_inner)
    potential, flux = _across_gap(order, gap - depth, gap, near_inner)
    face = source_outer / (near_outer + load)
    return inner_radial, inner_tangential, face * flux / radius, -face * order * potential / radius
