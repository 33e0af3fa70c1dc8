"""What the air between the magnets of a ring changes in the torque, against a ring of one permeability."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.radial_modes import RadialModes, gauss_lobatto
from wetpath.physics.magnetics.ring_field import CrossSection
from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]


@published("magnet-coenergy", status="derived")
def interpolar_torque(modes: RadialModes, section: CrossSection, pole_pairs: int, arcs: tuple[float, float],
                      points: int = 12) -> tuple[Array, Array, Array, Array]:
    r"""Torque per length that is added when the spaces between the magnets are air.

    First order in the difference of permeability: the co-energy changes by
    :math:`\tfrac12(1-\mu)\mu_0\int_{air}|H|^2\,dA`, H being the field of the uniform rings. The product of
    both rings' fields gives odd harmonics of the load angle; the square of the other ring's field gives even
    ones (reluctance torque: that ring alone turns these spaces into place).

    Parameters
    ----------
    modes : RadialModes
        Driven per tesla of remanence.
    section : CrossSection
    pole_pairs : int [-]
    arcs : pair of floats [-]
        Magnet arc over pole pitch of the inner and of the outer ring.
    points : int
        Gauss points across one space.

    Returns
    -------
    product : array (n,) [N m/m T2]
        On B_i B_o sin(n delta/p), for the orders of ``modes``.
    even_orders : array (even,) [-]
        2, 4, 6, ... multiples of the load angle.
    inner_square, outer_square : array (even,) [N m/m T2]
        On B_i^2 sin(even delta) and B_o^2 sin(even delta).

    Notes
    -----
    Relative permeability up to about 1.1; the second order left out is below 0.1 % of the torque there.

    References
    ----------
    .. [1] First-order change of a stationary energy; derived.
    """
    layers = (modes.layers[0], modes.layers[2])
    limits = ((section.inner_back, section.inner_face), (section.outer_face, section.outer_back))
    _, weight, derivative = gauss_lobatto(modes.degree)
    potential = modes.potentials()
    wave = np.rint(modes.order / pole_pairs).astype(int)
    product = np.zeros(modes.order.size)
    squares = []
    even = 2 * np.arange(1, int(wave.max()) + 1)
    for ring in range(2):
        half = (limits[ring][1] - limits[ring][0]) / 2
        radius = modes.node[layers[ring]]
        area = weight * half * radius
        own, other = (_field(potential[which][:, layers[ring]], modes.order, radius, derivative, half)
                      for which in (ring, 1 - ring))
        permeability = section.inner_permeability if ring == 0 else section.outer_permeability
        spread = (1 - arcs[ring]) * np.pi / (2 * pole_pairs)
        scale = (1 - permeability) / VACUUM_PERMEABILITY * pole_pairs
        product += 2 * scale * modes.order * _projection(own, other, modes.order, area, pole_pairs, spread,
                                                         points)
        squares.append(scale * pole_pairs * even * _self_energy(other, wave, area, pole_pairs, spread, even))
    # The spaces of the inner ring act on the field of the outer ring and the other way round.
    return product, even.astype(float), squares[1], squares[0]


def _field(potential: Array, order: Array, radius: Array, derivative: Array,
           half: float) -> tuple[Array, Array]:
    """mu0 H_r on cos and mu0 H_theta on sin at the nodes of one layer, each (n, node)."""
    return -potential @ derivative.T / half, order[:, None] * potential / radius


def _projection(own: tuple[Array, Array], other: tuple[Array, Array], order: Array, area: Array,
                pole_pairs: int, spread: float, points: int) -> Array:
    """Integral over one space of own field times each harmonic of the other ring's field at angle 0."""
    node, weight = np.polynomial.legendre.leggauss(points)
    angle = np.multiply.outer(order, np.pi / (2 * pole_pairs) + spread * node)
    cosine, sine = np.cos(angle), np.sin(angle)
    radial, tangential = own[0].T @ cosine, own[1].T @ sine
    return np.einsum("na,a,at,nt,t->n", other[0], area, radial, cosine, weight * spread) + np.einsum(
        "na,a,at,nt,t->n", other[1], area, tangential, sine, weight * spread)


def _self_energy(field: tuple[Array, Array], wave: NDArray[np.int64], area: Array, pole_pairs: int,
                 spread: float, even: NDArray[np.int64]) -> Array:
    """Cosine amplitudes, over the load angle, of the integral of the field squared over one space."""
    radial, tangential = np.einsum("na,a,ma->nm", field[0], area, field[0]), np.einsum(
        "na,a,ma->nm", field[1], area, field[1])
    order = pole_pairs * even
    window = 2 * spread * np.cos(np.pi * even / 2) * np.sinc(order * spread / np.pi)
    result = np.zeros(even.size + 1)
    np.add.at(result, (wave[:, None] + wave) // 2, (radial - tangential) / 2)
    np.add.at(result, np.abs(wave[:, None] - wave) // 2, (radial + tangential) / 2)
    return window * result[1:]
