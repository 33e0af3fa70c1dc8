"""Heat transfer from the shell wall to the liquid in the annulus."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, in_kernel, published

Numeric = Any

#: Nusselt number on 2t of developed laminar flow in a slot, one wall heated (Shah and London 1978, recalled).
LAMINAR_SLOT_NUSSELT = 5.385


@published("tachibana-fukui-1964", status="recalled")
@published("shah-london-1978", status="recalled")
@in_kernel
def annulus_nusselt(effective_reynolds: Numeric, prandtl: Numeric, gap: Numeric, length: Numeric,
                    radius_ratio: Numeric) -> Numeric:
    r"""Nusselt number on 2t between the still outer wall and the liquid, inner wall turning.

    :math:`Nu = 0.015(1 + 2.3\,D_h/L)(r_o/r_i)^{0.45}Re_{eff}^{0.8}Pr^{1/3}`, :math:`D_h = 2t`, not below the
    laminar 5.385.

    Parameters
    ----------
    effective_reynolds : array [-]
        :math:`\rho D_h\sqrt{V^2 + (u/2)^2}/\mu`.
    prandtl : array [-]
    gap, length : array [m]
        t and the length of the annulus.
    radius_ratio : array [-]
        :math:`r_o/r_i`.

    Returns
    -------
    array [-]

    Notes
    -----
    Measured in air; take the coefficient as +/-30 % for liquids.

    References
    ----------
    .. [1] Tachibana and Fukui, Bull. JSME 7 (1964) 385. Recalled.
    .. [2] Shah and London (1978), laminar floor. Recalled.

    Examples
    --------
    >>> round(float(annulus_nusselt(48059.96, 3.0, 0.0015, 0.080, 51.5 / 50.0)), 3)
    132.515
    """
    turbulent = (0.015 * (1.0 + 4.6 * gap / length) * radius_ratio**0.45
                 * effective_reynolds**0.8 * prandtl ** (1.0 / 3.0))
    return np.maximum(turbulent, LAMINAR_SLOT_NUSSELT)


@published("gazley-1958", status="recalled")
def gazley_nusselt(effective_reynolds: Numeric, prandtl: Numeric) -> Numeric:
    r"""Sister correlation, :math:`Nu = 0.03 Re_{eff}^{0.8}(Pr/0.7)^{1/3}` on 2t, for comparison.

    Parameters
    ----------
    effective_reynolds, prandtl : array [-]

    Returns
    -------
    array [-]

    Notes
    -----
    Air data; the Prandtl factor is common practice, +/-25 %.

    References
    ----------
    .. [1] Gazley, Trans. ASME 80 (1958) 79. Recalled.

    Examples
    --------
    >>> round(float(gazley_nusselt(1e4, 0.7)), 2)
    47.55
    """
    return 0.03 * effective_reynolds**0.8 * (prandtl / 0.7) ** (1.0 / 3.0)


@published("becker-kaye-1962", status="recalled")
def taylor_gap_nusselt(modified_taylor: Numeric) -> Numeric:
    r"""Nusselt number, wall to wall across the gap without axial flow, over the modified Taylor number.

    2 below 1700, :math:`0.128 Ta_m^{0.367}` to 1e4, :math:`0.409 Ta_m^{0.241}` to 1e7,
    :math:`Ta_m = \omega^2 r_m t^3/(\nu^2 F_g)`.

    Parameters
    ----------
    modified_taylor : array [-]

    Returns
    -------
    array [-]

    Notes
    -----
    Air; for the comparison of orders of magnitude.

    References
    ----------
    .. [1] Becker and Kaye, J. Heat Transfer 84 (1962) 97. Recalled.

    Examples
    --------
    >>> float(taylor_gap_nusselt(1000.0))
    2.0
    """
    ta = np.maximum(modified_taylor, 1.0)
    return choose(ta < 1700.0, 2.0, choose(ta < 1e4, 0.128 * ta**0.367, 0.409 * ta**0.241))
