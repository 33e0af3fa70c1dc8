"""Stress in a wall from the temperature difference across it."""

from typing import Any

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("thermal-stress-plate", status="exact")
@in_kernel
def linear_gradient_stress(temperature_difference: Numeric, elastic_modulus: Numeric, expansion: Numeric,
                           poisson_ratio: Numeric = 0.3) -> Numeric:
    r"""Surface stress of a thin wall with a straight temperature line, :math:`E\alpha\Delta T/[2(1-\nu)]`.

    Parameters
    ----------
    temperature_difference : array [K]
        Between the two faces.
    elastic_modulus, expansion, poisson_ratio : array [Pa], [1/K], [-]

    Returns
    -------
    array [Pa], tension on the cold face and as much compression on the hot one.

    Notes
    -----
    Wall held flat or cylindrical (no free bending), away from ends; elastic.

    References
    ----------
    .. [1] Timoshenko, Goodier: Theory of Elasticity, thermal stress. Exact for a thin wall.

    Examples
    --------
    >>> round(linear_gradient_stress(10.0, 200e9, 12e-6) / 1e6, 2)
    17.14
    """
    return elastic_modulus * expansion * temperature_difference / (2 * (1 - poisson_ratio))


@published("thermal-stress-plate", status="derived")
@in_kernel
def heated_wall_stress(temperature_difference: Numeric, elastic_modulus: Numeric, expansion: Numeric,
                       poisson_ratio: Numeric = 0.3) -> Numeric:
    r"""Largest stress of an evenly heated wall cooled on one face: tension on that face.

    :math:`\tfrac23E\alpha\Delta T/(1-\nu)`

    Parameters
    ----------
    temperature_difference : array [K]
        :func:`wetpath.physics.heat.shell_wall.wall_gradient_drop`.
    elastic_modulus, expansion, poisson_ratio : array [Pa], [1/K], [-]

    Returns
    -------
    array [Pa]; the insulated face has half as much compression.

    Notes
    -----
    The parabola of temperature has its mean a third below the insulated face. Held wall, elastic.

    References
    ----------
    .. [1] Derived from plane thermal stress, :math:`E\alpha(\bar T-T)/(1-\nu)`.

    Examples
    --------
    >>> round(heated_wall_stress(2.2, 205e9, 11.2e-6) / 1e6, 2)
    4.81
    """
    return 2 / 3 * elastic_modulus * expansion * temperature_difference / (1 - poisson_ratio)
