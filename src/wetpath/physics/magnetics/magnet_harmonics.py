"""Fourier harmonics of the magnetisation of a ring of alternating arc magnets."""

from typing import Any

import numpy as np

from wetpath.physics.published import published

Numeric = Any


def _arc_integral(order: Numeric, half_angle: Numeric) -> Numeric:
    """sin(order x half_angle) / order, with its limit half_angle at order 0."""
    return half_angle * np.sinc(order * half_angle / np.pi)


@published("fourier-series-of-arcs", status="derived")
def radial_magnetisation(order: Numeric, pole_pairs: Numeric, arc: Numeric) -> tuple[Numeric, Numeric]:
    r"""Harmonics of arcs magnetised radially, alternating in sign, per tesla of remanence.

    :math:`m_n = \frac{4}{\pi\nu}\sin(\nu\alpha\pi/2)`, :math:`q_n = 0`, with :math:`\nu = n/p`.

    Parameters
    ----------
    order : array [-], n > 0
        Circumferential order, an odd multiple of ``pole_pairs``.
    pole_pairs : int [-], p
    arc : float [-], alpha in (0, 1]
        Angle covered by one magnet over the pole pitch.

    Returns
    -------
    radial, tangential : array [-]
        Amplitude of mu0 M_r / B_r on cos(n theta) and of mu0 M_theta / B_r on sin(n theta); theta = 0 is the
        middle of a magnet magnetised outwards.

    Notes
    -----
    Even multiples of ``pole_pairs`` vanish by symmetry and must not be asked for.

    References
    ----------
    .. [1] Fourier series of a rectangular wave; derived.

    Examples
    --------
    >>> radial, tangential = radial_magnetisation(4.0, 4, 0.85)
    >>> round(float(radial), 6), float(tangential)
    (1.23806, 0.0)
    """
    wave = order / pole_pairs
    radial = 4 / (np.pi * wave) * np.sin(wave * arc * np.pi / 2)
    return radial, np.zeros_like(radial)


@published("fourier-series-of-arcs", status="derived")
def parallel_magnetisation(order: Numeric, pole_pairs: Numeric, arc: Numeric,
                           segments: int = 1) -> tuple[Numeric, Numeric]:
    r"""Harmonics of arcs built of segments, each magnetised parallel to its own centre line, per tesla.

    With :math:`\beta = \alpha\pi/(2pS)` and :math:`S(k) = \sin(k\beta)/k`,

    .. math:: m_n = \tfrac{2p}{\pi}[S(n-1) + S(n+1)]\,\textstyle\sum_s\cos n\theta_s,\quad
              q_n = -\tfrac{2p}{\pi}[S(n-1) - S(n+1)]\,\textstyle\sum_s\cos n\theta_s

    where :math:`\theta_s` are the centres of the segments of one pole. One segment is the usual parallel
    magnetised arc; many segments tend to the radial arc.

    Parameters
    ----------
    order : array [-], n > 0
        Circumferential order, an odd multiple of ``pole_pairs``.
    pole_pairs : int [-], p
    arc : float [-], alpha in (0, 1]
        Angle covered by the segments of one pole over the pole pitch.
    segments : int [-], S >= 1
        Equal segments side by side in one pole, without space between them.

    Returns
    -------
    radial, tangential : array [-]
        Amplitude on cos(n theta) and on sin(n theta), see :func:`radial_magnetisation`.

    References
    ----------
    .. [1] Fourier series; derived.

    Examples
    --------
    >>> radial, tangential = parallel_magnetisation(4.0, 4, 0.85)
    >>> round(float(radial), 6), round(float(tangential), 6)
    (1.22174, -0.208053)
    """
    half = arc * np.pi / (2 * pole_pairs * segments)
    centres = (2 * np.arange(segments) - segments + 1) * half
    beats = np.cos(np.multiply.outer(order, centres)).sum(axis=-1)
    below, above = _arc_integral(order - 1, half), _arc_integral(order + 1, half)
    scale = 2 * pole_pairs / np.pi * beats
    return scale * (below + above), -scale * (below - above)
