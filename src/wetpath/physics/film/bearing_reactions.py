"""How a force across the rotor is shared by its two bearings."""

from typing import Any

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("beam-statics", status="exact")
@in_kernel
def bearing_reactions(force: Numeric, position: Numeric, front: Numeric, rear: Numeric) -> tuple[Numeric, Numeric]:
    r"""Loads of the front and the rear bearing by the levers, :math:`W_f=F\frac{x_r-x}{x_r-x_f}`, the rest rear.

    Parameters
    ----------
    force : array [N]
    position : array [m]
        Where it acts along the shaft, x.
    front, rear : array [m]
        Middle of each bearing.

    Returns
    -------
    front, rear : array [N]
        In the direction of the force; negative where the force acts beyond the other bearing.

    Examples
    --------
    >>> bearing_reactions(100.0, 0.0, 0.06, 0.16)
    (160.0, -60.0)
    """
    share = (rear - position) / (rear - front)
    return force * share, force - force * share
