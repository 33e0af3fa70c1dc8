"""Rings of finite length: axial shape of the field, torque and axial force with any lengths and offset."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.radial_modes import RadialModes
from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]


class Extent(NamedTuple):
    """Axial lengths of both rings' magnets, and the outer ring's middle seen from the inner's [m]."""

    inner_length: float
    outer_length: float
    offset: float = 0.0


@published("ring-field-radial-modes", status="derived")
def box_response(decay_rate: Numeric, start: Numeric, end: Numeric, z: Numeric) -> tuple[Numeric, Numeric]:
    r"""Solution and slope of :math:`-g'' + k^2 g = f` on an endless axis, f = 1 from ``start`` to ``end``.

    Parameters
    ----------
    decay_rate : array [1/m], k > 0
    start, end, z : array [m]

    Returns
    -------
    g [m2], g' [m]

    Examples
    --------
    >>> g, slope = box_response(100.0, -1.0, 1.0, np.array([0.0, 1.0]))
    >>> (g * 1e4).round(6), (slope * 1e2).round(6)
    (array([1. , 0.5]), array([ 0. , -0.5]))
    """
    from_start, from_end = decay_rate * (z - start), decay_rate * (z - end)
    tail_start, tail_end = np.exp(-np.abs(from_start)), np.exp(-np.abs(from_end))
    rise, fall = np.sign(from_start) * (1 - tail_start), np.sign(from_end) * (1 - tail_end)
    return (rise - fall) / (2 * decay_rate**2), (tail_start - tail_end) / (2 * decay_rate)


@published("ring-field-radial-modes", status="derived")
def ring_overlap(decay: Numeric, extent: Extent) -> tuple[Numeric, Numeric]:
    r"""Axial coupling of both rings through one mode, and its derivative by the offset.

    :math:`G = \int_{inner}\int_{outer} e^{-k|z-z'|}/(2k)\,dz'\,dz` with :math:`k^2 = \lambda`. Two rings of
    one length L have :math:`G = L/\lambda - (1 - e^{-kL})/k^3`: the last term is what the ends take.

    Parameters
    ----------
    decay : array [1/m2], lambda
    extent : Extent

    Returns
    -------
    overlap [m3], derivative [m2]

    Examples
    --------
    >>> overlap, slope = ring_overlap(1e4, Extent(0.04, 0.04))
    >>> round(float(overlap) * 1e6, 4), float(slope)    # 4 - 1 + exp(-4)
    (3.0183, 0.0)
    """
    rate = np.sqrt(decay)
    longer = (extent.inner_length + extent.outer_length) / 2
    shorter = (extent.inner_length - extent.outer_length) / 2
    overlap, slope = 0.0, 0.0
    for sign, shift in ((1, longer), (1, -longer), (-1, shorter), (-1, -shorter)):
        x = extent.offset + shift
        tail = np.exp(-rate * np.abs(x))
        overlap = overlap + sign * (tail / (2 * rate**3) + np.abs(x) / (2 * decay))
        slope = slope + sign * np.sign(x) * (1 - tail) / (2 * decay)
    return overlap, slope


@published("magnet-coenergy", status="derived")
def coupling_amplitudes(modes: RadialModes, extent: Extent) -> tuple[Array, Array]:
    r"""Amplitudes of torque and axial force between the rings, per product of their remanences.

    The interaction co-energy is :math:`\sum_n e_n\cos(n\delta/p)` with
    :math:`e_n = -\frac{\pi}{\mu_0}\sum_j s^i_{nj}s^o_{nj}G_{nj}`; torque is its derivative by the angle,
    axial force its derivative by the offset.

    Parameters
    ----------
    modes : RadialModes
    extent : Extent

    Returns
    -------
    torque : array (n,) [N m/T2]
        T = B_i B_o sum torque_n sin(n delta/p) on the inner ring, positive when the outer leads.
    force : array (n,) [N/T2]
        F = B_i B_o sum force_n cos(n delta/p) on the inner ring, positive towards positive z.

    Notes
    -----
    Yokes longer than the magnets: the pull of a magnet ring on the end of the other ring's iron is not in it.
    With yokes that end with the magnets the torque is about 0.7 to 2.4 % higher.

    References
    ----------
    .. [1] Virtual work on the co-energy of permanent magnets in linear media; derived.
    """
    drive = -np.pi / VACUUM_PERMEABILITY * modes.inner * modes.outer
    overlap, slope = ring_overlap(modes.decay, extent)
    energy = (drive * overlap).sum(axis=-1)
    return modes.order * energy, -(drive * slope).sum(axis=-1)


def radial_field(modes: RadialModes, slope_row: Array, extent: Extent, z: Array) -> tuple[Array, Array]:
    """B_r harmonics of each ring in the gap, per tesla, at positions z from the inner ring's middle; (n, z).

    ``slope_row`` (node,) reads the slope of the potential at the radius wanted, see
    ``radial_modes.slope_rows``.
    """
    reading = -np.einsum("a,naj->nj", slope_row, modes.shape)
    rate = np.sqrt(modes.decay)[..., None]
    inner, _ = box_response(rate, -extent.inner_length / 2, extent.inner_length / 2, z)
    outer, _ = box_response(rate, extent.offset - extent.outer_length / 2,
                            extent.offset + extent.outer_length / 2, z)
    return (np.einsum("nj,njz->nz", reading * modes.inner, inner),
            np.einsum("nj,njz->nz", reading * modes.outer, outer))
