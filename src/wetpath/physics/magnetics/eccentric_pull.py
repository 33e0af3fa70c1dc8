"""Side pull between magnet rings that stand off centre."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.end_effect import Extent, ring_overlap
from wetpath.physics.magnetics.radial_modes import radial_modes
from wetpath.physics.magnetics.ring_field import CrossSection, face_sources, magnet_admittances
from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]


#: Step of the logarithm of the gap's radii with which the field energy of rings with ends is differentiated.
STEP = 1e-3


class PullStiffness(NamedTuple):
    """Side pull per offset, order by order [N/m per T2], or that per axial length [N/m2 per T2]."""

    inner: Numeric     # on the square of the inner ring's remanence
    outer: Numeric     # on the square of the outer ring's remanence
    cross: Numeric     # on the product of both, times the cosine of (order over pole pairs) times load angle


@published("eccentric-rings", status="derived")
def pull_stiffness(order: Numeric, section: CrossSection, inner: tuple[Numeric, Numeric],
                   outer: tuple[Numeric, Numeric]) -> PullStiffness:
    r"""Side pull of two magnet rings per offset between their axes; zero on centre, towards the smaller gap.

    With :math:`G=\ln(r_o/r_i)` across the gap and the field energy per length :math:`W(G,\alpha)` of concentric
    rings, an offset e changes the gap around the ring by :math:`-e\cos\theta` and shifts the magnets along it by
    :math:`-e\sin\theta`; the mean over the circumference gives
    :math:`k=F/e=-\frac{1}{2r_ir_o}\left(W_{GG}+W_{\alpha\alpha}\right)`, with

    .. math:: W=\frac{\pi}{2\mu_0}\sum_n\frac{(Y_o+c)S_i^2+(Y_i+c)S_o^2-2sS_iS_o\cos n\alpha}{(Y_i+c)(Y_o+c)-s^2},
       \quad c=n\coth nG,\ s=n/\sinh nG

    and the admittances Y and face sources S of ``ring_field``.

    Parameters
    ----------
    order : array [-], n
        Circumferential orders.
    section : CrossSection
    inner, outer : pair of arrays [-]
        Magnetisation harmonics of each ring per tesla (``magnet_harmonics``).

    Returns
    -------
    PullStiffness, each the shape of ``order``.

    Notes
    -----
    The change of the gap is taken as slow against a pole: the sum over both rings is 1 to 4 % below the exact plane
    field of eccentric rings for 2 to 10 pole pairs, the part of one ring alone up to 20 % off either way (tests).
    First order in the offset. Iron infinitely permeable; no ends, see :func:`ring_pull_stiffness`. Without iron
    and with a recoil permeability of 1 it is zero, as for any two rings of magnets alone.

    References
    ----------
    .. [1] Virtual work on the field energy, local gap; derived.
    """
    near_inner, near_outer = magnet_admittances(order, section)
    source_inner, source_outer = face_sources(order, section, inner, outer)
    gap = np.log(section.outer_face / section.inner_face)
    along = order / np.tanh(order * gap)
    across = order / np.sinh(np.minimum(order * gap, 300.0))
    both = near_inner + near_outer
    whole = near_inner * near_outer + both * along + order**2
    first, second = -both * across**2, 2 * both * along * across**2        # of whole, by the gap

    def bend(value: Numeric, slope: Numeric, curvature: Numeric) -> Numeric:
        """Second derivative by the gap of value over whole."""
        return (curvature / whole - 2 * slope * first / whole**2
                + value * (2 * first**2 / whole**3 - second / whole**2))

    turn = np.pi / (4 * VACUUM_PERMEABILITY * section.inner_face * section.outer_face)
    self_inner = bend(near_outer + along, -across**2, 2 * along * across**2)
    self_outer = bend(near_inner + along, -across**2, 2 * along * across**2)
    shared = bend(across, -along * across, across * (across**2 + along**2)) - order**2 * across / whole
    return PullStiffness(-turn * source_inner**2 * self_inner, -turn * source_outer**2 * self_outer,
                         2 * turn * source_inner * source_outer * shared)


@published("eccentric-rings", status="derived")
def ring_pull_stiffness(order: Numeric, section: CrossSection, inner: tuple[Numeric, Numeric],
                        outer: tuple[Numeric, Numeric], extent: Extent) -> PullStiffness:
    r"""The same for rings of finite length: the energy from the radial modes, its curvature by differences.

    Parameters
    ----------
    order : array (n,) [-]
    section : CrossSection
    inner, outer : pair of arrays (n,) [-]
        Magnetisation harmonics of each ring per tesla.
    extent : Extent

    Returns
    -------
    PullStiffness, each (n,) [N/m per T2]

    Notes
    -----
    As :func:`pull_stiffness`; iron longer than the magnets. Ends take from the pull of ring on iron and add about
    half of the axial stiffness of ring on ring: on the whole some 10 to 30 % more than length times the value
    without ends, for rings about as long as their diameter.

    References
    ----------
    .. [1] Virtual work on the field energy, local gap; derived.
    """
    def energies(step: float) -> Array:
        wider = float(np.exp(step))
        modes = radial_modes(order, section._replace(
            outer_face=section.outer_face * wider, outer_back=section.outer_back * wider,
            outer_iron=None if section.outer_iron is None else section.outer_iron * wider), inner, outer)
        driven = modes.outer / wider
        own_inner = ring_overlap(modes.decay, Extent(extent.inner_length, extent.inner_length))[0]
        own_outer = ring_overlap(modes.decay, Extent(extent.outer_length, extent.outer_length))[0]
        between = ring_overlap(modes.decay, extent)[0]
        return np.pi / VACUUM_PERMEABILITY * np.array([
            (modes.inner**2 * own_inner).sum(-1) / 2, (driven**2 * own_outer).sum(-1) / 2,
            (modes.inner * driven * between).sum(-1)])

    below, here, above = energies(-STEP), energies(0.0), energies(STEP)
    curvature = (below - 2 * here + above) / STEP**2
    curvature[2] -= order**2 * here[2]
    return PullStiffness(*(-curvature / (2 * section.inner_face * section.outer_face)))
