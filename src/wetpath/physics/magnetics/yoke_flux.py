"""Flux that the iron yokes behind the magnets must carry from pole to pole."""

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.magnetics.radial_modes import RadialModes, gauss_lobatto
from wetpath.physics.magnetics.ring_field import CrossSection
from wetpath.physics.published import published

Array = NDArray[np.float64]


@published("ring-field-radial-modes", status="derived")
def yoke_flux(modes: RadialModes, section: CrossSection, pole_pairs: int, inner: tuple[Array, Array],
              outer: tuple[Array, Array]) -> Array:
    r"""Largest flux along each yoke per axial length and per tesla of each ring's remanence.

    Half the flux of a pole goes each way round: :math:`\Phi = \max_\theta\sum_n \frac{R\,b_n(R)}{n}\sin n\theta`,
    b_n the radial field at the surface of the iron. Divided by the yoke's thickness it is the mean flux density
    in it. The largest value stands between the magnets or, where flux turns back beside them, shortly before.

    Parameters
    ----------
    modes, section, pole_pairs
        As in ``interpolar_air``.
    inner, outer : pair of arrays (n,) [-]
        Magnetisation harmonics of each ring per tesla.

    Returns
    -------
    array (2, 2) [Wb/m T]
        Rows: inner and outer yoke; columns: from the inner and from the outer ring. With the magnets facing
        each other (load angle 0, the worst case) the two columns add. Exact for equal remanences, and good to
        1 % with harmonics up to the fifteenth.

    References
    ----------
    .. [1] Flux conservation; derived.
    """
    _, _, derivative = gauss_lobatto(modes.degree)
    angle = np.linspace(0.5, 1.0, 101) * np.pi / (2 * pole_pairs)
    share = np.sin(np.multiply.outer(modes.order, angle)) / modes.order[:, None]
    reach = modes.degree + 1
    at_inner, at_outer = modes.layers[0].start == 0, modes.layers[2].stop == modes.node.size
    yokes = ((slice(0, reach), derivative[0], section.inner_permeability if at_inner else 1.0,
              (inner[0] if at_inner else 0.0, 0.0)),
             (slice(modes.node.size - reach, modes.node.size), derivative[-1],
              section.outer_permeability if at_outer else 1.0, (0.0, outer[0] if at_outer else 0.0)))
    result = np.zeros((2, 2))
    for yoke, (layer, row, permeability, magnetised) in enumerate(yokes):
        radii = modes.node[layer]
        half = (radii[-1] - radii[0]) / 2
        flux = np.array([(-permeability * potential[:, layer] @ row / half + own) @ share
                         for potential, own in zip(modes.potentials(), magnetised, strict=True)])
        largest = int(np.argmax(np.abs(flux.sum(axis=0))))
        result[yoke] = radii[0 if yoke == 0 else -1] * flux[:, largest]
    return result
