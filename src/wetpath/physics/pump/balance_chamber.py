"""Pressure in the chamber behind the rear ring, which drains through balance holes to the eye."""

from typing import Any

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("balance-chamber", status="derived")
@in_kernel
def chamber_share(ring_area: Numeric, ring_loss: Numeric, hole_area: Numeric, hole_loss: Numeric) -> Numeric:
    r"""Share of the pressure difference across ring and holes in line that the holes take.

    :math:`\beta=\dfrac{\zeta_h/A_h^2}{\zeta_h/A_h^2+\zeta_r/A_r^2}`

    Parameters
    ----------
    ring_area, hole_area : array [m2]
        Gap of the rear ring, all balance holes.
    ring_loss, hole_loss : array [-]
        Loss on the velocity in each.

    Returns
    -------
    array [-]; 0 with very large holes, 1 without holes.

    Notes
    -----
    The same flow through both, turbulent losses; rotation of the liquid is left to the pressure ahead of the ring.

    References
    ----------
    .. [1] Continuity through two losses in line; derived.

    Examples
    --------
    >>> round(chamber_share(50e-6, 2.5, 200e-6, 2.0), 4)
    0.0476
    """
    ring, hole = ring_loss * hole_area**2, hole_loss * ring_area**2
    return hole / (hole + ring)


@published("ring-gap-loss", status="common practice")
@in_kernel
def ring_gap_loss(length: Numeric, clearance: Numeric) -> Numeric:
    r"""Loss of a plain ring gap on its own velocity, :math:`1.5+0.04\,L/(2c)`.

    Parameters
    ----------
    length, clearance : array [m]
        Axial length and radial clearance of the ring.

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] Entry and exit 1.5, friction factor 0.04 on twice the clearance with one side turning: common practice,
       no source.

    Examples
    --------
    >>> ring_gap_loss(0.010, 0.2e-3)
    2.5
    """
    return 1.5 + 0.04 * length / (2 * clearance)
