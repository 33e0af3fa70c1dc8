"""State of a coupling that has let go: the outer ring turns, the inner ring stands or lags behind."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import CouplingResponse, coupling_response
from wetpath.errors import InputError
from wetpath.physics.magnetics.demagnetisation import field_inside_magnets
from wetpath.physics.magnetics.magnet_loss import magnet_loss_density

Array = NDArray[np.float64]

#: Highest odd harmonic, and depths through the magnets, at which their loss is taken.
HIGHEST, DEPTHS = 15, 4


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
    magnet_loss: tuple[float, float]   # [W] in inner and outer magnets, pieces insulated from each other
    driving_torque: float         # [N m] mean torque that the driver must give
    inner_torque: float           # [N m] mean torque on the inner ring, of what slips past it less its own shell drag
    swinging_torque: float        # [N m] amplitude that alternates on both rings: the pull-out torque
    swinging_frequency: float     # [Hz]
    warnings: tuple[str, ...]


def slip_state(geometry: CouplingGeometry, response: CouplingResponse, remanence: tuple[float, float], *,
               outer_speed: float, inner_speed: float = 0.0, shell_conductivity: Array | float = 0.0,
               sheath: Sheath | None = None, magnet_conductivity: tuple[float, float] = (0.0, 0.0)) -> SlipState:
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
    magnet_conductivity : pair of floats [S/m]
        Inner and outer magnets; 0 leaves their loss out.

    Notes
    -----
    At every place of the wall the angle between the fields of both rings turns on and on, so that in the mean over a
    slip cycle they do not interfere: their powers add, :math:`\\Omega_i^2B_i^2l_i + \\Omega_o^2B_o^2l_o`, without the
    term of both that normal running has. With the inner ring at rest only the outer ring heats the shell, less than in
    normal running. The magnets' torque swings with its pull-out value and has no mean; what is left is the drag of the
    currents in whatever one ring's field passes on the other. Eddy currents in solid yokes are not computed and heat
    the rings further.
    """
    slip = outer_speed - inner_speed
    if not slip > 0:
        raise InputError("must be below outer_speed", field="inner_speed", value=f"{inner_speed:.6g} rad/s",
                         why="in slip the driven outer ring runs ahead of the inner ring")
    shell_by_outer = response.slip_loss(0.0, outer_speed, shell_conductivity, 0.0, remanence[1])
    shell_by_inner = response.slip_loss(inner_speed, 0.0, shell_conductivity, remanence[0], 0.0)
    sheath_loss = 0.0
    if sheath is not None:
        sheath_loss = float(_around_magnets(geometry, sheath.outer_radius).slip_loss(
            0.0, slip, sheath.conductivity, 0.0, remanence[1]).sum())
    inner_magnets, outer_magnets = (
        magnet_loss(geometry, ring, remanence[1 - ring], magnet_conductivity[ring], slip) for ring in (0, 1))
    carried_along = (sheath_loss + inner_magnets + outer_magnets) / slip
    drag = float(shell_by_inner.sum()) / inner_speed if inner_speed > 0 else 0.0
    return SlipState(
        shell_loss=shell_by_outer + shell_by_inner, sheath_loss=sheath_loss,
        magnet_loss=(inner_magnets, outer_magnets),
        driving_torque=float(shell_by_outer.sum()) / outer_speed + carried_along,
        inner_torque=carried_along - drag, swinging_torque=response.pull_out(*remanence)[1],
        swinging_frequency=geometry.pole_pairs * slip / (2 * np.pi),
        warnings=("slip heats solid yokes by eddy currents that are not computed, and the circulation stops with the "
                  "impeller: stop the driver at once",))


def magnet_loss(geometry: CouplingGeometry, ring: int, other_remanence: float, conductivity: float, slip: float, *,
                touching: bool = False) -> float:
    """Loss in the magnets of one ring that the other ring's field passes at the speed of slip.

    Parameters
    ----------
    geometry : CouplingGeometry
    ring : int
        0 for the inner, 1 for the outer magnets.
    other_remanence : float [T]
        Of the other ring.
    conductivity : float [S/m]
    slip : float [rad/s]
    touching : bool
        Pieces let currents pass to each other; otherwise they are insulated.

    Returns
    -------
    float [W]

    Notes
    -----
    An upper estimate for insulated pieces: the field is that of long rings, the own field of the currents is left out.
    """
    return conductivity * (slip * other_remanence) ** 2 * _magnet_loss_per_unit(geometry, ring, touching)


def catching_slip(orders: Array, amplitudes: Array, pole_pairs: int, drive_inertia: float, pump_inertia: float
                  ) -> float:
    r"""Largest slip from which the torque of the magnets can bring unloaded rings back into step.

    The work of the torque over half a slip cycle, :math:`\frac1p\sum_\nu\frac{a_\nu}{\nu}(1 - \cos\nu\pi)`, is the
    largest energy of the relative motion, :math:`\tfrac12 J s^2` with :math:`1/J = 1/J_1 + 1/J_2`, that it can take up
    before the next pole pushes the other way.

    Parameters
    ----------
    orders, amplitudes : array (order,) [-], [N m]
        Torque series over the electrical load angle.
    pole_pairs : int
    drive_inertia, pump_inertia : float [kg m2]

    Returns
    -------
    float [rad/s], mechanical

    Notes
    -----
    Without load and damping: a load on the pump makes it less.
    """
    work = float(np.sum(amplitudes / orders * (1 - np.cos(orders * np.pi)))) / pole_pairs
    together = drive_inertia * pump_inertia / (drive_inertia + pump_inertia)
    return float(np.sqrt(2 * max(work, 0.0) / together))


@lru_cache(maxsize=512)
def _around_magnets(geometry: CouplingGeometry, outer_radius: float) -> CouplingResponse:
    """Loss map of a sleeve on the inner magnets."""
    return coupling_response(replace(
        geometry, shell_inner_radius=geometry.inner_face_radius * (1 + 1e-9),
        shell_thickness=outer_radius - geometry.inner_face_radius,
        shell_start=-geometry.inner_length / 2, shell_end=geometry.inner_length / 2, shell_anisotropy=1.0), cells=8)


@lru_cache(maxsize=512)
def _magnet_loss_per_unit(geometry: CouplingGeometry, ring: int, touching: bool) -> float:
    """Loss of the magnets for 1 S/m, 1 rad/s of slip and 1 T of the other ring [W]."""
    section = geometry.section
    low, high, arc, segments, length, permeability = (
        (section.inner_back, section.inner_face, geometry.inner_arc, geometry.inner_segments, geometry.inner_length,
         section.inner_permeability),
        (section.outer_face, section.outer_back, geometry.outer_arc, geometry.outer_segments, geometry.outer_length,
         section.outer_permeability))[ring]
    half_angle = np.inf if touching else arc * np.pi / (2 * geometry.pole_pairs * segments)
    places, weights = np.polynomial.legendre.leggauss(DEPTHS)
    radius = (low + high) / 2 + (high - low) / 2 * places
    order = geometry.pole_pairs * np.arange(1.0, HIGHEST + 1, 2.0)
    field = np.array([permeability * field_inside_magnets(
        ring, one, section, *geometry.magnetisation(one), radius, np.zeros(DEPTHS), 0.0)[2]
        for one in order[:, None]]).T
    density = np.array([magnet_loss_density(b, order, r, half_angle, 1.0, 1.0)
                        for b, r in zip(field, radius, strict=True)])
    return float(2 * np.pi * arc * length * (high - low) / 2 * np.sum(weights * radius * density))
