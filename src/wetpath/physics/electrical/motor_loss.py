"""Losses of an electric motor at part load, and the power it takes from the supply."""

from typing import Any

from wetpath.physics.published import published

Numeric = Any

#: Share of the rated losses of a three-phase motor that does not depend on load. Common practice.
NO_LOAD_LOSS = 0.35


@published("motor-loss-split", status="common practice")
def motor_loss(shaft_power: Numeric, rated_power: Numeric, rated_efficiency: Numeric,
               no_load_loss: float = NO_LOAD_LOSS) -> Numeric:
    r"""Losses of a motor at a shaft power.

    :math:`P_r(1/\eta_r - 1)[s + (1 - s)(P/P_r)^2]`: iron and friction stay, copper goes with the square of load.

    Parameters
    ----------
    shaft_power, rated_power : array [W]
    rated_efficiency : array [-]
        At rated power.
    no_load_loss : float [-]
        s, share of the rated losses without load.

    Returns
    -------
    array [W]

    Notes
    -----
    At rated speed and voltage on the supply; an inverter adds its own 2 to 5 % and harmonic losses.

    References
    ----------
    .. [1] Split of the losses: common practice, no source.

    Examples
    --------
    >>> loss = motor_loss(7.5e3, 15e3, 0.919)
    >>> round(loss, 1), round(7.5e3 / (7.5e3 + loss), 4)
    (677.6, 0.9171)
    """
    load = shaft_power / rated_power
    return rated_power * (1.0 / rated_efficiency - 1.0) * (no_load_loss + (1.0 - no_load_loss) * load**2)
