"""Eddy-current loss in the magnets of a ring that a turning field passes, as when the rings slip."""

from typing import Any

import numpy as np

from wetpath.physics.published import published

Numeric = Any


@published("thin-conducting-cylinder", status="derived")
def magnet_loss_density(field: Numeric, order: Numeric, radius: Numeric, half_angle: Numeric, conductivity: Numeric,
                        speed: Numeric) -> Numeric:
    r"""Mean loss in a long piece of magnet that the harmonics of a radial field run past.

    :math:`q = \tfrac12\sigma(r\Omega_s)^2\sum_n B_n^2\,[1 - (\sin n\beta/n\beta)^2]`: along the axis the field strength
    is :math:`r\Omega_s B_r` less its mean over the piece, for no current leaves it.

    Parameters
    ----------
    field, order : array (n,) [T], [-]
        Amplitudes of the radial field in the magnet, and their orders around the circle.
    radius : float [m]
    half_angle : float [rad], beta
        Half the angle that the piece covers; infinite for pieces that touch and let currents pass.
    conductivity : float [S/m], sigma
    speed : float [rad/s], Omega_s
        Of the field past the magnet.

    Returns
    -------
    float [W/m3]

    Notes
    -----
    Piece long against its width, and the field of its own currents left out: both put it high. Pieces that touch each
    other or solid iron lose more, at most that of an infinite half angle.

    References
    ----------
    .. [1] Faraday's law; derived. For small n beta it is the usual :math:`\sigma\omega^2B^2d^2/24` of a sheet d wide.

    Examples
    --------
    A sheet 1 mm wide in 0.1 T at 100 Hz, 1 uohm m:

    >>> float(magnet_loss_density(0.1, 1.0, 1.0, 5e-4, 1e6, 200 * np.pi).round(1))
    164.5
    """
    width = np.asarray(order * half_angle, float)
    finite = np.isfinite(width)
    kept = 1 - np.where(finite, np.sinc(np.where(finite, width, 1.0) / np.pi), 0.0) ** 2
    return 0.5 * conductivity * (radius * speed) ** 2 * np.sum(np.asarray(field) ** 2 * kept, axis=-1)
