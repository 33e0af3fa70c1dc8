"""Eddy-current loss that the turning field of both magnet rings makes in a thin conducting shell at rest."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics.end_effect import Extent, box_response
from wetpath.physics.magnetics.radial_modes import RadialModes, slope_rows
from wetpath.physics.magnetics.ring_field import CrossSection
from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]


class Wall(NamedTuple):
    """Conducting cylinder: radii and axial ends [m], z from the middle of the inner ring's magnets."""

    inner_radius: float
    thickness: float
    start: float
    end: float
    #: conductivity along the hoop over conductivity along the axis [-]; 1 for metals
    anisotropy: float = 1.0

    @property
    def mean_radius(self) -> float:
        """Middle of the wall [m]."""
        return self.inner_radius + self.thickness / 2


@published("thin-conducting-cylinder", status="derived")
def endless_wall_loss(field: Numeric, radius: Numeric, thickness: Numeric, conductivity: Numeric,
                      speed: Numeric, reaction: Numeric = 0.0) -> Numeric:
    r"""Loss per length of an endless thin wall in one turning harmonic of the radial field.

    :math:`P/L = \pi\sigma t r^3\Omega^2 |B_n|^2/(1 + w^2)`.

    Parameters
    ----------
    field : array [T], B_n, amplitude of the radial field at mid-wall
    radius, thickness : array [m]
    conductivity : array [S/m], sigma
    speed : array [rad/s], Omega
        Speed of the field relative to the wall; the order n does not enter.
    reaction : array [-], w
        See :func:`reaction_time`.

    Returns
    -------
    array [W/m]

    References
    ----------
    .. [1] Faraday's law on a thin sheet; derived.

    Examples
    --------
    Field 0.30 T, diameter 130 mm, wall 1 mm, 1.25 uohm m, 2950 r/min, 60 mm long:

    >>> round(endless_wall_loss(0.30, 0.065, 1e-3, 1 / 1.25e-6, 2950 * np.pi / 30) * 0.060, 1)
    355.7
    """
    return np.pi * conductivity * thickness * radius**3 * speed**2 * field**2 / (1 + reaction**2)


@published("thin-conducting-cylinder", status="derived")
def reaction_time(order: Numeric, radius: Numeric, thickness: Numeric, section: CrossSection) -> Numeric:
    r"""How strongly the shell's own currents weaken the field: w = sigma Omega x this.

    :math:`\mu_0 t r/[\tanh(n\ln(r/R_1)) + \tanh(n\ln(R_4/r))]`, iron at R_1 and R_4, permeability 1 between.

    Returns
    -------
    array [m2 H/m = s m/S]

    Examples
    --------
    >>> time = reaction_time(4.0, 0.0423, 1e-3, CrossSection(0.034, 0.040, 0.044, 0.050))
    >>> round(float(time * 2900 * np.pi / 30 / 1.3e-6), 4)
    0.0096
    """
    inner = section.inner_back if section.inner_iron is None else max(section.inner_iron, 1e-3 * radius)
    outer = section.outer_back if section.outer_iron is None else min(section.outer_iron, 1e3 * radius)
    inwards = np.tanh(order * np.log(radius / inner))
    outwards = np.tanh(order * np.log(outer / radius))
    return VACUUM_PERMEABILITY * thickness * radius / (inwards + outwards)


@published("russell-norsworthy-1958", status="recalled")
def overhang_factor(active: Numeric, overhang: Numeric) -> Numeric:
    r"""Share of the endless-wall loss left in a finite wall under a field that is uniform along the magnets.

    :math:`k = 1 - \tanh a/\{a[1 + \tanh a\tanh b]\}`, a = nL/(2r), b = n h/r, h the wall beyond the magnets.

    A check on :func:`wall_loss`, which needs no such factor: the field of real rings falls off before their
    ends.

    Examples
    --------
    >>> round(float(overhang_factor(2.0, 1.0)), 6)
    0.722054
    """
    return 1 - np.tanh(active) / (active * (1 + np.tanh(active) * np.tanh(overhang)))


class WallLoss(NamedTuple):
    """Loss of each piece of the wall per sigma Omega^2 and tesla squared, (n, cell) [W m/S s2/rad2 T2]."""

    inner: Array
    outer: Array
    cross: Array


@published("thin-conducting-cylinder", status="derived")
def wall_loss(modes: RadialModes, extent: Extent, wall: Wall, edges: Array, *, depths: int = 2,
              points: int = 6) -> WallLoss:
    r"""Loss along a finite wall, currents closing around its ends, for each harmonic and piece of the wall.

    On each of ``depths`` sheets through the wall the stream function of the current solves

    .. math:: U'' - \chi\kappa^2 U = \chi B_n(r, z),\quad U(z_1) = U(z_2) = 0,\quad \kappa = n/r

    and the loss is :math:`\pi r\sigma t\,n^2\Omega^2\int[\kappa^2 U^2 + U'^2/\chi]\,dz`. With
    :math:`B_n = \sum_j\beta_j g_j`, each radial mode has the closed solution
    :math:`(g_j - g_\kappa)/(\lambda_j - \kappa^2)`, :math:`g_\kappa` being the same box response with decay
    rate :math:`\kappa`; the ends add :math:`\sinh` terms.

    Parameters
    ----------
    modes : RadialModes
    extent : Extent
    wall : Wall
    edges : array (cell + 1,) [m]
        Pieces of the wall, from ``wall.start`` to ``wall.end``.
    depths : int
        Gauss points through the wall.
    points : int
        Gauss points along each stretch of a piece; stretches end where magnets end and are at most half the
        depth from iron to iron long, so that 6 points give 1e-6.

    Returns
    -------
    WallLoss
        P = sigma Omega^2 [B_i^2 inner + B_o^2 outer + B_i B_o cross cos(n delta/p)]/(1 + w_n^2), sigma along
        the axis.

    Notes
    -----
    Wall thin against skin depth and pole pitch; no current crosses from one sheet to the next; ends
    insulated.

    References
    ----------
    .. [1] Faraday's law on a thin sheet; derived. For a field uniform along the magnets it is
       :func:`overhang_factor`.
    """
    stretches, owner = _stretches(modes, extent, edges)
    along, along_weight = np.polynomial.legendre.leggauss(points)
    through, through_weight = np.polynomial.legendre.leggauss(depths)
    half = np.diff(stretches) / 2
    z = ((stretches[:-1] + half)[:, None] + half[:, None] * along).ravel()
    weight = (half[:, None] * along_weight).ravel()
    radii = wall.mean_radius + wall.thickness / 2 * through
    total = [np.zeros((modes.order.size, edges.size - 1)) for _ in range(3)]
    for radius, share, row in zip(radii, through_weight / 2, slope_rows(modes, radii), strict=True):
        (stream_i, slope_i), (stream_o, slope_o) = _stream_functions(modes, row, radius, extent, wall, z)
        scale = np.pi * radius * wall.thickness * share * modes.order[:, None] ** 2 * weight
        turn = (modes.order[:, None] / radius) ** 2
        for density, into in (((turn * stream_i**2 + slope_i**2 / wall.anisotropy), 0),
                              ((turn * stream_o**2 + slope_o**2 / wall.anisotropy), 1),
                              (2 * (turn * stream_i * stream_o + slope_i * slope_o / wall.anisotropy), 2)):
            stretch = (scale * density).reshape(modes.order.size, half.size, points).sum(axis=-1)
            total[into] += np.add.reduceat(stretch, owner, axis=-1)
    return WallLoss(*total)


def _stretches(modes: RadialModes, extent: Extent, edges: Array) -> tuple[Array, NDArray[np.int64]]:
    """Places between which the loss is smooth along the wall, and the first stretch of each piece."""
    longest = max((modes.node[-1] - modes.node[0]) / 2, (edges[-1] - edges[0]) / 400)
    inner, outer = extent.inner_length / 2, extent.outer_length / 2
    ends = np.array([-inner, inner, extent.offset - outer, extent.offset + outer])
    places = np.unique(np.concatenate([edges, ends[(ends > edges[0]) & (ends < edges[-1])]]))
    counts = np.maximum(1, np.ceil(np.diff(places) / longest)).astype(int)
    fine = [start + (end - start) * np.arange(count) / count
            for start, end, count in zip(places[:-1], places[1:], counts, strict=True)]
    stretches = np.concatenate([*fine, places[-1:]])
    return stretches, np.searchsorted(stretches, edges[:-1])


def _stream_functions(modes: RadialModes, slope_row: Array, radius: float, extent: Extent, wall: Wall,
                      z: Array) -> list[tuple[Array, Array]]:
    """U and U' of each ring at z, each (n, z)."""
    reading = -np.einsum("a,naj->nj", slope_row, modes.shape)
    turn = modes.order / radius * np.sqrt(wall.anisotropy)
    difference = modes.decay - turn[:, None] ** 2
    # A mode that decays exactly as the stream function would divide 0 by 0; shifting it by 1e-7 costs 1e-7.
    tie = np.abs(difference) < 1e-7 * modes.decay
    decay = np.where(tie, modes.decay * (1 + 1e-6), modes.decay)
    difference = np.where(tie, decay - turn[:, None] ** 2, difference)
    rate = np.sqrt(decay)
    places = np.concatenate([z, [wall.start, wall.end]])
    results = []
    for drive, start, end in (
            (modes.inner, -extent.inner_length / 2, extent.inner_length / 2),
            (modes.outer, extent.offset - extent.outer_length / 2, extent.offset + extent.outer_length / 2)):
        strength = wall.anisotropy * reading * drive / difference
        value, slope = box_response(rate[..., None], start, end, places)
        own_value, own_slope = box_response(turn[:, None], start, end, places)
        total = strength.sum(axis=-1)[:, None]
        value = np.einsum("nj,njz->nz", strength, value) - total * own_value
        slope = np.einsum("nj,njz->nz", strength, slope) - total * own_slope
        results.append(_close_ends(turn[:, None], wall, z, value, slope))
    return results


def _close_ends(turn: Array, wall: Wall, z: Array, value: Array, slope: Array) -> tuple[Array, Array]:
    """Add the free solutions that bring the stream function to zero at both ends of the wall."""
    at_start, at_end = value[:, -2:-1], value[:, -1:]
    from_start, from_end = np.exp(-turn * (z - wall.start)), np.exp(-turn * (wall.end - z))
    across = np.exp(-turn * (wall.end - wall.start))
    left = (at_end * across - at_start) / (1 - across**2)
    right = (at_start * across - at_end) / (1 - across**2)
    return (value[:, :-2] + left * from_start + right * from_end,
            slope[:, :-2] + turn * (right * from_end - left * from_start))
