"""Field inside the magnets, and what temperature leaves of their remanence and coercivity."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.magnetics.ring_field import CrossSection, gap_field
from wetpath.physics.published import in_kernel, published

Numeric = Any
Array = NDArray[np.float64]

#: 20 degC in kelvin, at which magnet tables give their values.
TABLE_TEMPERATURE = 293.15


@published("magnet-linear-temperature", status="recalled")
@in_kernel
def at_temperature(value: Numeric, coefficient: Numeric, temperature: Numeric) -> Numeric:
    r"""Remanence or coercivity at temperature, :math:`X(T) = X_{20}[1 + a(T - 293.15)]`.

    Parameters
    ----------
    value : array [T or A/m]
        At 20 degC.
    coefficient : array [1/K]
        Reversible temperature coefficient, negative for rare-earth magnets.
    temperature : array [K]

    Returns
    -------
    array, unit of ``value``

    Notes
    -----
    Makers give the coefficients over 20 to 100 degC, some to 150 degC; above 200 degC use the certificate's
    curve.

    References
    ----------
    .. [1] The usual form of magnet tables (IEC 60404-8-1); recalled.

    Examples
    --------
    >>> round(at_temperature(1.08, -3.5e-4, 453.15), 5)      # Sm2Co17 at 180 degC
    1.01952
    """
    return value * (1 + coefficient * (temperature - TABLE_TEMPERATURE))


@published("ring-field-three-layers", status="derived")
def field_inside_magnets(ring: int, order: Array, section: CrossSection, inner: tuple[Array, Array],
                         outer: tuple[Array, Array], radius: Array, angle: Array,
                         load_angle: float) -> tuple[Array, Array, Array, Array]:
    r"""mu0 H inside the magnets of one ring, from each ring alone, per tesla of its remanence.

    In the magnet layer :math:`\psi = \psi_{face} h(r) + \psi_p(r)`, h being 1 on the face and 0 on the iron,
    and :math:`\psi_p` the part driven by the magnets of that layer, 0 on both.

    Parameters
    ----------
    ring : int
        0: inside the inner magnets; 1: inside the outer magnets.
    order : array (n,) [-]
        Up to about 80 times the pole pairs, or the edges of the magnets are blurred.
    section : CrossSection
        Iron directly behind the magnets.
    inner, outer : pair of arrays (n,) [-]
        Magnetisation harmonics per tesla.
    radius, angle : array (point,) [m], [rad]
        Points of one magnet magnetised outwards; angle from its middle.
    load_angle : float [electrical rad]
        pi where the rings stand with equal poles facing, met at every slipped pole.

    Returns
    -------
    own_radial, own_tangential, other_radial, other_tangential : array (point,) [T/T]

    Notes
    -----
    One permeability in the ring. The field of a sharp edge has no bound: leave out the outermost 5 % of the
    section, within which the sum has settled to a few thousandths of the remanence.

    References
    ----------
    .. [1] Three-layer solution in polar coordinates; derived.
    """
    if ring == 0:
        face, back, permeability = section.inner_face, section.inner_back, section.inner_permeability
        own, lag = inner, -load_angle
    else:
        face, back, permeability = section.outer_face, section.outer_back, section.outer_permeability
        own, lag = outer, load_angle
    n, r = order[:, None], radius[None, :]
    on_face, on_back = _layer_shapes(n, r, face, back)
    _, inner_alone, _, outer_alone = gap_field(order, face, section, inner, outer)
    at_face = [(face * tangential / order)[:, None] for tangential in (inner_alone, outer_alone)]
    particular = [drive / permeability for drive in _driven(n, r, face, back, on_face, on_back)]
    strength = (own[0] + order * own[1])[:, None]
    own_part = [at_face[ring] * shape + strength * part for shape, part in zip(on_face, particular, strict=True)]
    other_part = [at_face[1 - ring] * shape for shape in on_face]
    result = []
    turns = (n * angle, n * angle + n / order[0] * lag)
    for (potential, slope), turned in zip((own_part, other_part), turns, strict=True):
        result += [-(slope * np.cos(turned)).sum(axis=0), (n / r * potential * np.sin(turned)).sum(axis=0)]
    return result[0], result[1], result[2], result[3]


def _layer_shapes(n: Array, r: Array, face: float,
                  back: float) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Free solutions that are 1 on the face and 0 on the back, and the other way round, with their slopes."""
    side = 1.0 if face > back else -1.0
    from_back, from_face = np.abs(np.log(r / back)), np.abs(np.log(face / r))
    shrink = 1 - np.exp(-2 * n * (from_back + from_face))
    shapes = []
    for near, far, sign in ((from_face, from_back, side), (from_back, from_face, -side)):
        decay, mirror = np.exp(-n * near) / shrink, np.exp(-2 * n * far)
        shapes.append((decay * (1 - mirror), sign * n / r * decay * (1 + mirror)))
    return shapes[0], shapes[1]


def _driven(n: Array, r: Array, face: float, back: float, on_face: tuple[Array, Array],
            on_back: tuple[Array, Array]) -> tuple[Array, Array]:
    """Solution of psi'' + psi'/r - n^2 psi/r^2 = 1/r that is 0 on face and back, with its slope."""
    first = n == 1
    scale = np.where(first, 0.5, 1 / np.where(first, 1.0, 1 - n**2))
    bulge, bulge_slope = np.where(first, r * np.log(r), r), np.where(first, np.log(r) + 1, 1.0)
    ends = [np.where(first, radius * np.log(radius), radius) for radius in (face, back)]
    return (scale * (bulge - ends[0] * on_face[0] - ends[1] * on_back[0]),
            scale * (bulge_slope - ends[0] * on_face[1] - ends[1] * on_back[1]))
