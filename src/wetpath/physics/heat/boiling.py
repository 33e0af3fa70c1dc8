"""What boiling would look like: vapour made on flashing and the heat flux a boiling wall can bear."""

from typing import Any

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import published

Numeric = Any


@published("zuber-1959", status="recalled")
def critical_heat_flux(vapour_density: Numeric, liquid_density: Numeric, latent_heat: Numeric,
                       surface_tension: Numeric) -> Numeric:
    r"""Pool-boiling limit of a wetted wall, :math:`0.131\rho_v^{1/2}h_{fg}[\sigma g(\rho_l-\rho_v)]^{1/4}`.

    Parameters
    ----------
    vapour_density, liquid_density : array [kg/m3]
    latent_heat : array [J/kg]
    surface_tension : array [N/m]

    Returns
    -------
    array [W/m2]

    Notes
    -----
    Saturated pool boiling on a large flat plate; forced flow and subcooling raise it, rotation may lower it.

    References
    ----------
    .. [1] Zuber, Hydrodynamic Aspects of Boiling Heat Transfer, AECU-4439 (1959). Recalled.

    Examples
    --------
    >>> round(critical_heat_flux(0.598, 958.4, 2.257e6, 0.0589) / 1e6, 2)
    1.11
    """
    buoyancy = surface_tension * STANDARD_GRAVITY * (liquid_density - vapour_density)
    return 0.131 * vapour_density**0.5 * latent_heat * buoyancy**0.25


@published("flash-mass-balance", status="exact")
def vapour_volume_share(vapour_mass_share: Numeric, liquid_density: Numeric, vapour_density: Numeric) -> Numeric:
    r"""Volume share of vapour in an even mixture, :math:`1/(1 + \frac{1-x}{x}\frac{\rho_v}{\rho_l})`.

    Parameters
    ----------
    vapour_mass_share : array [-], 0 < x <= 1
    liquid_density, vapour_density : array [kg/m3]

    Returns
    -------
    array [-]

    Notes
    -----
    Both phases move together (no slip).

    References
    ----------
    .. [1] Mass balance; exact.

    Examples
    --------
    >>> round(vapour_volume_share(0.01, 971.8, 0.2937), 2)
    0.97
    """
    return 1.0 / (1.0 + (1.0 - vapour_mass_share) / vapour_mass_share * vapour_density / liquid_density)
