"""How measured points of a coupling scale its model: one factor on torque, one on shell loss."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from wetpath.coupling.response import CouplingResponse
from wetpath.machine.measured import MeasuredCoupling
from wetpath.physics.magnetics.demagnetisation import at_temperature
from wetpath.physics.magnetics.torque import load_angle
from wetpath.physics.published import published
from wetpath.words import told

#: Factors outside this range say that drawing, magnets or measurement are not what they are taken for. Common practice.
EXPECTED = (0.7, 1.4)


@dataclass(frozen=True)
class Rings:
    """What the model needs beside the response; values at 20 degC, slopes relative to them."""

    remanence: tuple[float, float]            # inner, outer [T]
    remanence_slope: tuple[float, float]      # [1/K]
    conductivity: float                       # of the wall [S/m]
    resistivity_slope: float                  # [1/K]

    def remanence_at(self, temperature: float) -> tuple[float, float]:
        """Remanence of both rings at one temperature [T]."""
        inner, outer = (float(at_temperature(value, slope, temperature))
                        for value, slope in zip(self.remanence, self.remanence_slope, strict=True))
        return inner, outer

    def conductivity_at(self, temperature: float) -> float:
        """Conductivity of the wall [S/m]."""
        return self.conductivity / float(at_temperature(1.0, self.resistivity_slope, temperature))


@dataclass(frozen=True)
class MeasuredScale:
    """Factors on the model, 1 where nothing was measured, and the points they come from."""

    torque: float = 1.0
    loss: float = 1.0
    measured_torque: tuple[float, ...] = ()       # [N m]
    model_torque: tuple[float, ...] = ()
    measured_loss: tuple[float, ...] = ()         # [W]
    model_loss: tuple[float, ...] = ()

    def applied(self, response: CouplingResponse) -> CouplingResponse:
        """The response of the model, scaled; axial force goes with the torque, both being the rings' common field."""
        return replace(
            response, torque=self.torque * response.torque, torque_inner=self.torque * response.torque_inner,
            torque_outer=self.torque * response.torque_outer, force=self.torque * response.force,
            loss_inner=self.loss * response.loss_inner, loss_outer=self.loss * response.loss_outer,
            loss_cross=self.loss * response.loss_cross)

    def findings(self, partly_conducting: bool = False) -> tuple[str, ...]:
        """What was scaled, in words, and whether a factor is beyond belief; of a part-conducting wall any may be."""
        found = []
        low, high = EXPECTED
        for name, factor, count, judged in (("pull-out torque", self.torque, len(self.measured_torque), True),
                                            ("shell loss", self.loss, len(self.measured_loss), not partly_conducting)):
            if not count:
                continue
            text = told("{name} is that of the model times {factor:.2f}, from {count} measured points" if count > 1 else
                        "{name} is that of the model times {factor:.2f}, from {count} measured point",
                        name=name, factor=factor, count=count)
            if judged and not low <= factor <= high:
                text = told("{finding}; outside {low:g} to {high:g}: check geometry, magnet grade and what was "
                            "measured", finding=text, low=low, high=high)
            found.append(text)
        return tuple(found)


@published("least-squares-factor", status="derived")
def least_squares_factor(measured: ArrayLike, model: ArrayLike) -> float:
    r"""Factor on a model that brings it nearest to measured values, :math:`\sum m_i p_i / \sum p_i^2`.

    Parameters
    ----------
    measured, model : array, same unit

    Returns
    -------
    float [-]

    Notes
    -----
    Least squares of the differences, so that large values count most.

    Examples
    --------
    >>> least_squares_factor([2.2, 4.2], [2.0, 4.0])
    1.06
    """
    ours = np.asarray(model, float)
    return float(np.dot(measured, ours) / np.dot(ours, ours))


def measured_scale(measured: MeasuredCoupling | None, response: CouplingResponse, rings: Rings) -> MeasuredScale:
    """Find the factors; ``response`` is that of the unscaled model."""
    if measured is None:
        return MeasuredScale()
    scale = MeasuredScale()
    if measured.pull_out:
        torques = tuple(point.torque for point in measured.pull_out)
        model = tuple(response.pull_out(*rings.remanence_at(point.magnet_temperature))[1]
                      for point in measured.pull_out)
        scale = replace(scale, torque=least_squares_factor(torques, model), measured_torque=torques, model_torque=model)
    if measured.shell_loss:
        losses = tuple(point.power for point in measured.shell_loss)
        modelled = []
        for point in measured.shell_loss:
            remanence = rings.remanence_at(point.magnets)
            angle = point.load_angle or 0.0
            if point.torque:
                series = scale.torque * response.torque_series(*remanence)
                angle = float(load_angle(response.torque_orders, series, point.torque))
                if np.isnan(angle):      # a torque the scaled model does not carry: nearest is the top of its curve
                    angle = response.pull_out(*remanence)[0]
            modelled.append(float(response.cell_loss(
                angle, point.speed, rings.conductivity_at(point.wall_temperature), *remanence).sum()))
        scale = replace(scale, loss=least_squares_factor(losses, modelled), measured_loss=losses,
                        model_loss=tuple(modelled))
    return scale
