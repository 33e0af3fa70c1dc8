"""Friction factor of holes, pipes and grooves."""

from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any


@in_kernel
def pipe_friction(reynolds: Numeric, relative_roughness: Numeric) -> tuple[Numeric, Numeric]:
    """`pipe_friction_factor` and `pipe_friction_exponent` together, for the price of one."""
    re = np.maximum(reynolds, 1e-3)
    viscous = (7.0 / re) ** 0.9
    rough = viscous + 0.27 * relative_roughness
    logarithm = np.log(1.0 / rough)
    a = (2.457 * logarithm) ** 16
    b = (37530.0 / re) ** 16
    x = (8.0 / re) ** 12
    y = 1.0 / ((a + b) * np.sqrt(a + b))
    slope = 16.0 * (0.9 * a * viscous / (rough * logarithm) - b)
    return 8.0 * (x + y) ** (1.0 / 12.0), -(x + 0.125 * y * slope / (a + b)) / (x + y)


@published("churchill-1977", status="recalled")
@in_kernel
def pipe_friction_factor(reynolds: Numeric, relative_roughness: Numeric) -> Numeric:
    r"""Darcy friction factor of a round passage, one formula from laminar to fully rough flow.

    :math:`f = 8[(8/Re)^{12} + (A+B)^{-1.5}]^{1/12}`,
    :math:`A = \{2.457\ln[1/((7/Re)^{0.9} + 0.27\,e/D)]\}^{16}`, :math:`B = (37530/Re)^{16}`.

    Parameters
    ----------
    reynolds : array [-], > 0
        :math:`\rho V D_h/\mu`; taken as at least 1e-3, below which the laminar product f Re is constant.
    relative_roughness : array [-], broadcasts with ``reynolds``
        Roughness over hydraulic diameter, e/D, 0 to 0.05.

    Returns
    -------
    array [-], the broadcast shape. Raises nothing: NaN in, NaN out.

    Notes
    -----
    Developed flow in a straight passage. Tends to 64/Re in laminar flow. Grooves and slots use the hydraulic
    diameter; in laminar flow their factor differs by up to 50 % (a slot has 96/Re). Between Re 2000 and 4000
    the flow itself is uncertain.

    References
    ----------
    .. [1] Churchill, Chem. Eng. 84(24) (1977) 91. Recalled; the laminar limit is exact.

    Examples
    --------
    >>> round(float(pipe_friction_factor(1e5, 1e-3)), 7)
    0.0223432
    """
    factor, _ = pipe_friction(reynolds, relative_roughness)
    return factor


@published("churchill-1977", status="derived")
@in_kernel
def pipe_friction_exponent(reynolds: Numeric, relative_roughness: Numeric) -> Numeric:
    r"""Exponent of the Reynolds number in the friction factor there, :math:`d\ln f/d\ln Re`.

    With :math:`X = (8/Re)^{12}`, :math:`Y = (A+B)^{-1.5}` and A, B of ``pipe_friction_factor``:
    :math:`-\frac{X - \frac18 Y (A' + B')/(A+B)}{X+Y}` with :math:`A' = dA/d\ln Re`, :math:`B' = -16 B`.

    Parameters
    ----------
    reynolds : array [-], >= 1e-3
    relative_roughness : array [-], broadcasts with ``reynolds``

    Returns
    -------
    array [-]: -1 in laminar, about -0.2 in smooth turbulent, 0 in fully rough flow; positive where laminar flow
    breaks down (Re 2000 to 4000). Raises nothing: NaN in, NaN out.

    References
    ----------
    .. [1] Derivative of the formula of ``pipe_friction_factor``.

    Examples
    --------
    >>> round(float(pipe_friction_exponent(100.0, 1e-3)), 6)
    -1.0
    """
    _, exponent = pipe_friction(reynolds, relative_roughness)
    return exponent
