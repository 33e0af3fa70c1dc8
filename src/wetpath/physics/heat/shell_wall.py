"""Temperature of the containment-shell wall between the liquid inside and the air outside."""

from typing import Any

import numpy as np

from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.published import in_kernel, published

Numeric = Any

#: Temperature at which resistivities are tabulated [K].
RESISTIVITY_REFERENCE = ZERO_CELSIUS + 20.0


@published("shell-wall-balance", status="derived")
@in_kernel
def wall_temperature(heat_at_reference: Numeric, resistivity_slope: Numeric, liquid_conductance: Numeric,
                     liquid_temperature: Numeric, air_conductance: Numeric, air_temperature: Numeric) -> Numeric:
    r"""Wall temperature at which eddy heat equals the heat given to liquid and air.

    Solves :math:`\frac{q_{20}}{1 + a(T_w - 293.15)} = G_l(T_w - T_l) + G_a(T_w - T_a)` in closed form:
    the eddy heat of a given field falls with the wall's own resistivity.

    Parameters
    ----------
    heat_at_reference : array [W]
        Eddy heat of the wall element at 20 degC, :math:`q_{20}`.
    resistivity_slope : array [1/K]
        Temperature coefficient a of the resistivity, >= 0.
    liquid_conductance, air_conductance : array [W/K]
        Film coefficient times area inside, :math:`G_l > 0`, and outside, :math:`G_a`.
    liquid_temperature, air_temperature : array [K]

    Returns
    -------
    array [K]

    Notes
    -----
    Wall thin against its radius and taken at one temperature; the drop through it is ``wall_gradient_drop``.
    Resistivity linear in temperature.

    References
    ----------
    .. [1] Energy balance; derived.

    Examples
    --------
    >>> round(float(wall_temperature(100.0, 0.0, 10.0, 300.0, 0.0, 290.0)), 6)
    310.0
    """
    conductance = liquid_conductance + air_conductance
    cooled = (liquid_conductance * liquid_temperature + air_conductance * air_temperature) / conductance
    # with y the rise of the wall over `cooled`: a G y^2 + G (1 + a (cooled - reference)) y - q = 0
    linear = conductance * (1.0 + resistivity_slope * (cooled - RESISTIVITY_REFERENCE))
    root = np.sqrt(linear * linear + 4.0 * resistivity_slope * conductance * heat_at_reference)
    return cooled + 2.0 * heat_at_reference / (linear + root)


@published("shell-wall-balance", status="derived")
def wall_gradient_drop(heat_flux: Numeric, wall: Numeric, conductivity: Numeric) -> Numeric:
    r"""Temperature drop through a wall heated evenly inside itself, outside insulated: :math:`q''t/2k`.

    Parameters
    ----------
    heat_flux : array [W/m2]
        Heat leaving the inside face.
    wall : array [m]
    conductivity : array [W/(m K)]

    Returns
    -------
    array [K]; a sensor on the outside reads hotter than the wetted face by this.

    References
    ----------
    .. [1] One-dimensional conduction with uniform source; exact.

    Examples
    --------
    >>> round(wall_gradient_drop(44e3, 1e-3, 10.0), 2)
    2.2
    """
    return heat_flux * wall / (2.0 * conductivity)
