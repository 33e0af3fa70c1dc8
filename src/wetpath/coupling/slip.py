"""State of a coupling that has let go: the outer ring turns, the inner ring stands or lags behind."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import CouplingResponse, coupling_response
from wetpath.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Sheath:
    """Metal sleeve around the inner magnets."""

    outer_radius: float
    conductivity: float      # [S/m] at its temperature


@dataclass(frozen=True)
class SlipState:
    """Mean losses and torques while the rings slip, and the torque that swings between them."""

    shell_loss: Array             # [W] per cell of the shell
    sheath_loss: float            # [W] heats the inner ring and the magnets in it
    driving_torque: float         # [N m] mean torque that the driver must give
    inner_torque: float           # [N m] mean torque on the inner ring, from the sheath less its own shell drag
    swinging_torque: float        # [N m] amplitude that alternates on both rings: the pull-out torque
    swinging_frequency: float     # [Hz]
    warnings: tuple[str, ...]


def slip_state(geometry: CouplingGeometry, response: CouplingResponse, remanence: tuple[float, float], *,
               outer_speed: float, inner_speed: float = 0.0, shell_conductivity: Array | float = 0.0,
               sheath: Sheath | None = None) -> SlipState:
    """Compute losses and mean torques of a coupling whose rings turn at different speeds.

    Parameters
    ----------
    geometry, response
        The coupling and what ``coupling_response`` made of it.
    remanence : pair of floats [T]
        Inner and outer ring at their temperatures.
    outer_speed, inner_speed : float [rad/s]
    shell_conductivity : float or array per cell [S/m]
    sheath : Sheath, optional

    Notes
    -----
    In the mean over a slip cycle the harmonics of both rings do not interfere, so their powers add; with the inner
    ring at rest only the outer ring heats the shell, less than in normal running. The magnets' torque swings
    with its pull-out value and has no mean: the coupling does not catch again at speed, and the driver must
    be stopped. Eddy currents in the magnets and in a solid inner yoke are not computed and heat the inner
    ring further.
    """
    slip = outer_speed - inner_speed
    if not slip > 0:
        raise InputError("must be below outer_speed", field="inner_speed", value=f"{inner_speed:.6g} rad/s",
                         why="in slip the driven outer ring runs ahead of the inner ring")
    shell_by_outer = response.slip_loss(0.0, outer_speed, shell_conductivity, 0.0, remanence[1])
    shell_by_inner = response.slip_loss(inner_speed, 0.0, shell_conductivity, remanence[0], 0.0)
    sheath_loss = 0.0
    if sheath is not None:
        around = replace(
            geometry, shell_inner_radius=geometry.inner_face_radius * (1 + 1e-9),
            shell_thickness=sheath.outer_radius - geometry.inner_face_radius,
            shell_start=-geometry.inner_length / 2, shell_end=geometry.inner_length / 2, shell_anisotropy=1.0)
        sheath_loss = float(coupling_response(around, cells=8).slip_loss(
            0.0, slip, sheath.conductivity, 0.0, remanence[1]).sum())
    drag = float(shell_by_inner.sum()) / inner_speed if inner_speed > 0 else 0.0
    return SlipState(
        shell_loss=shell_by_outer + shell_by_inner, sheath_loss=sheath_loss,
        driving_torque=float(shell_by_outer.sum()) / outer_speed + sheath_loss / slip,
        inner_torque=sheath_loss / slip - drag, swinging_torque=response.pull_out(*remanence)[1],
        swinging_frequency=geometry.pole_pairs * slip / (2 * np.pi),
        warnings=("slip heats the inner magnets and their yoke by eddy currents that are not computed, and the "
                  "circulation stops with the impeller: stop the driver at once",))
