"""Torque, axial force and shell loss of a magnetic coupling at any working state, as a few short series."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.errors import InputError
from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.magnetics import torque as curve
from wetpath.physics.magnetics.eddy_loss import overhang_factor, reaction_time, wall_loss
from wetpath.physics.magnetics.end_effect import coupling_amplitudes
from wetpath.physics.magnetics.interpolar_air import interpolar_torque
from wetpath.physics.magnetics.radial_modes import radial_modes, slope_rows
from wetpath.physics.magnetics.yoke_flux import yoke_flux
from wetpath.words import told

Array = NDArray[np.float64]

#: Flux density above which the iron of a yoke is taken as saturated [T]; common practice, no source. On the safe
#: side: finite elements with mild steel lost 0.2 % of pull-out torque at 2.0 T, 1 % at 2.4 T and 8 % at 3.0 T.
YOKE_LIMIT = 1.5
#: Largest wall over skin depth for which the currents are taken as even through the wall.
SKIN_LIMIT = 0.3
#: Largest wall over pole pitch, p t / r, and largest recoil permeability of the magnets.
PITCH_LIMIT, PERMEABILITY_LIMIT = 0.6, 1.15


@dataclass(frozen=True)
class CouplingResponse:
    r"""Torque, axial force and shell loss of one geometry, per tesla of remanence of each ring.

    With load angle delta (electrical rad), remanences B_i, B_o, speed Omega and conductivity sigma of a cell:

    - torque on the inner ring
      :math:`T = \sum_\nu [B_iB_o\,t_\nu + B_i^2 t^{i}_\nu + B_o^2 t^{o}_\nu]\sin\nu\delta`,
    - axial force on the inner ring :math:`F = B_iB_o\sum_\nu f_\nu\cos\nu\delta`,
    - loss in a cell of the wall :math:`P = \sigma\Omega^2\sum_\nu
      [B_i^2 l^i_\nu + B_o^2 l^o_\nu + B_iB_o\,l^x_\nu\cos\nu\delta]/(1 + (\sigma\Omega w_\nu)^2)`,
    - drag of the shell on the inner ring, w short for :math:`\sigma\Omega w_\nu`,
      :math:`D_i = \sigma\Omega\sum_\nu [B_i^2 l^i_\nu
      + \tfrac12 B_iB_o\,l^x_\nu(\cos\nu\delta + w\sin\nu\delta)]/(1 + w^2)`, on the outer ring the same with
      :math:`B_o^2 l^o_\nu` and :math:`-w\sin\nu\delta`: each ring's field meets the whole current.

    Remanence at temperature enters exactly; every array is plain, so that compiled code can sum the series.
    """

    pole_pairs: int
    torque_orders: Array    # (order,) 1, 2, 3, ...; the even ones come from air between magnets
    torque: Array           # (order,) [N m/T2] on B_i B_o
    torque_inner: Array     # (order,) [N m/T2] on B_i squared
    torque_outer: Array     # (order,) [N m/T2] on B_o squared
    force: Array            # (order,) [N/T2]
    cell_edges: Array       # (cell + 1,) [m] from the middle of the inner magnets
    loss_orders: Array      # (odd order,) 1, 3, 5, ...
    loss_inner: Array       # (odd order, cell) [W m/S s2/rad2 T2]
    loss_outer: Array       # (odd order, cell)
    loss_cross: Array       # (odd order, cell)
    reaction: Array         # (odd order,) w per unit sigma Omega [s m/S]
    shell_field: Array      # (2, odd order) B_r at mid-wall, endless rings, inner and outer [T/T]
    yoke_flux: Array        # (2, 2) inner and outer yoke, from inner and outer ring [Wb/m T]
    yoke_thickness: tuple[float | None, float | None]
    shell_thickness: float
    warnings: tuple[str, ...]

    def torque_series(self, inner_remanence: float, outer_remanence: float) -> Array:
        """Torque amplitudes [N m] on sin(torque_orders x load angle)."""
        product = inner_remanence * outer_remanence * self.torque
        series: Array = (product + inner_remanence**2 * self.torque_inner
                         + outer_remanence**2 * self.torque_outer)
        return series

    def static_torque(self, angle: Array | float, inner_remanence: float,
                      outer_remanence: float) -> Array | float:
        """Torque [N m] at a load angle [electrical rad], without the drag of the shell."""
        amplitudes = self.torque_series(inner_remanence, outer_remanence)
        result: Array | float = curve.sine_series(self.torque_orders, amplitudes, angle)
        return result

    def pull_out(self, inner_remanence: float, outer_remanence: float) -> tuple[float, float]:
        """Load angle [electrical rad] and value [N m] of the largest static torque."""
        return curve.pull_out(self.torque_orders, self.torque_series(inner_remanence, outer_remanence))

    def axial_force(self, angle: Array | float, inner_remanence: float,
                    outer_remanence: float) -> Array | float:
        """Axial force of the outer ring on the inner ring [N], positive towards positive z."""
        result: Array | float = curve.cosine_series(
            self.torque_orders, inner_remanence * outer_remanence * self.force, angle)
        return result

    def cell_loss(self, angle: float, speed: float, conductivity: Array | float, inner_remanence: float,
                  outer_remanence: float) -> Array:
        """Loss of each cell of the wall [W]; speed [rad/s], conductivity [S/m] for all or one per cell."""
        cells = np.broadcast_to(np.asarray(conductivity, dtype=float), self.cell_edges.size - 1)
        wave = np.cos(self.loss_orders * angle)[:, None]
        loss = (inner_remanence**2 * self.loss_inner + outer_remanence**2 * self.loss_outer
                + inner_remanence * outer_remanence * self.loss_cross * wave)
        weakened = 1 + (cells * speed * self.reaction[:, None]) ** 2
        result: Array = cells * speed**2 * (loss / weakened).sum(axis=0)
        return result

    def drag(self, angle: float, speed: float, conductivity: Array | float, inner_remanence: float,
             outer_remanence: float) -> tuple[float, float]:
        """Braking torque of the shell's currents on inner and outer ring [N m]; their sum x speed = loss."""
        cells = np.broadcast_to(np.asarray(conductivity, dtype=float), self.cell_edges.size - 1)
        lag = cells * speed * self.reaction[:, None]
        strength = cells * speed / (1 + lag**2)
        turned = self.loss_orders[:, None] * angle
        shared = inner_remanence * outer_remanence * self.loss_cross / 2
        inner = inner_remanence**2 * self.loss_inner + shared * (np.cos(turned) + lag * np.sin(turned))
        outer = outer_remanence**2 * self.loss_outer + shared * (np.cos(turned) - lag * np.sin(turned))
        return float((strength * inner).sum()), float((strength * outer).sum())

    def slip_loss(self, inner_speed: float, outer_speed: float, conductivity: Array | float,
                  inner_remanence: float, outer_remanence: float) -> Array:
        """Mean loss of each cell [W] when the rings turn at different speeds [rad/s]: their powers add."""
        inner = self.cell_loss(0.0, inner_speed, conductivity, inner_remanence, 0.0)
        return inner + self.cell_loss(0.0, outer_speed, conductivity, 0.0, outer_remanence)

    def yoke_density(self, inner_remanence: float,
                     outer_remanence: float) -> tuple[float | None, float | None]:
        """Mean flux density in the inner and the outer yoke [T] with the magnets facing each other."""
        flux = self.yoke_flux @ np.array([inner_remanence, outer_remanence])
        inner, outer = (abs(float(value)) / thickness if thickness else None
                        for value, thickness in zip(flux, self.yoke_thickness, strict=True))
        return inner, outer

    def wall_in_skin_depths(self, speed: float, conductivity: float) -> float:
        """Thickness of the shell over the skin depth at the third harmonic [-]; speed [rad/s], conductivity [S/m]."""
        frequency = 3 * self.pole_pairs * speed
        skin = np.sqrt(2 / (max(conductivity, 1e-12) * max(frequency, 1e-12) * VACUUM_PERMEABILITY))
        return float(self.shell_thickness / skin)

    def operating_warnings(self, speed: float, conductivity: float, inner_remanence: float,
                           outer_remanence: float) -> tuple[str, ...]:
        """Limits of the model that this operating point crosses, each with the limit."""
        found = []
        depths = self.wall_in_skin_depths(speed, conductivity)
        if depths > SKIN_LIMIT:
            found.append(told("shell wall is {depths:.2f} skin depths thick at the third harmonic; the loss model "
                              "holds up to {skin_limit:g}", depths=depths, skin_limit=SKIN_LIMIT))
        densities = self.yoke_density(inner_remanence, outer_remanence)
        for name, density in zip(("inner", "outer"), densities, strict=True):
            if density is not None and density > YOKE_LIMIT:
                found.append(told("{name} yoke would carry {density:.2f} T, above the {yoke_limit:g} T at which iron "
                                  "is taken as saturated; the real torque is lower than computed", name=name,
                                  density=density, yoke_limit=YOKE_LIMIT))
        return tuple(found)


def coupling_response(geometry: CouplingGeometry, *, cells: int = 20, cell_edges: Array | None = None,
                      highest: int = 15, keep: float = 1e-6) -> CouplingResponse:
    """Compute torque, axial force and loss map of a coupling from its geometry.

    Parameters
    ----------
    geometry : CouplingGeometry
    cells : int
        Equal pieces of the conducting cylinder for the loss map, unless ``cell_edges`` is given.
    cell_edges : array (cell + 1,) [m], optional
        Own pieces, rising from ``shell_start`` to ``shell_end``.
    highest : int
        Highest odd harmonic of the load angle.
    keep : float
        Harmonics below this share of the largest are left out.

    Notes
    -----
    Iron is taken as infinitely permeable and longer than the magnets. Against finite elements with such iron,
    torque and loss are 0 to 0.4 % low; with yokes that end with the magnets, torque is 0.7 to 2.2 % low and loss
    0.3 to 1.2 % low, most for short rings with few poles.
    """
    edges = _edges(geometry, cells, cell_edges)
    pole_pairs, section, extent, wall = geometry.pole_pairs, geometry.section, geometry.extent, geometry.wall
    wave = np.arange(1, highest + 1, 2).astype(float)
    order = pole_pairs * wave
    inner, outer = geometry.magnetisation(order)
    modes = radial_modes(order, section, inner, outer)

    uniform, force = coupling_amplitudes(modes, extent)
    endless = pole_pairs * -np.pi / VACUUM_PERMEABILITY * np.sum(
        modes.inner[0] * modes.outer[0] / modes.decay[0])
    effective_length = uniform[0] / endless
    air, _, inner_square, outer_square = interpolar_torque(
        modes, section, pole_pairs, (geometry.inner_arc, geometry.outer_arc))
    orders = np.arange(1.0, highest + 1)
    table = np.zeros((4, orders.size))
    table[0, ::2] = uniform + effective_length * air
    table[1, 1::2] = effective_length * inner_square[: highest // 2]
    table[2, 1::2] = effective_length * outer_square[: highest // 2]
    table[3, ::2] = force
    size = np.abs(table[:3]).max(axis=0) / np.abs(table[0]).max()
    chosen = slice(0, int(np.flatnonzero(size > keep)[-1]) + 1)

    slope = slope_rows(modes, np.array([wall.mean_radius]))[0]
    loss = wall_loss(modes, extent, wall, edges)
    share = (loss.inner + loss.outer).sum(axis=1)
    kept = slice(0, int(np.flatnonzero(share > keep * share.max())[-1]) + 1)
    return CouplingResponse(
        pole_pairs=pole_pairs, torque_orders=orders[chosen], torque=table[0, chosen],
        torque_inner=table[1, chosen], torque_outer=table[2, chosen], force=table[3, chosen],
        cell_edges=edges, loss_orders=wave[kept], loss_inner=loss.inner[kept],
        loss_outer=loss.outer[kept], loss_cross=loss.cross[kept],
        reaction=reaction_time(order, wall.mean_radius, wall.thickness, section)[kept],
        shell_field=np.array([-potential[kept] @ slope for potential in modes.potentials()]),
        yoke_flux=yoke_flux(modes, section, pole_pairs, inner, outer),
        yoke_thickness=(geometry.inner_yoke_thickness, geometry.outer_yoke_thickness),
        shell_thickness=geometry.shell_thickness, warnings=_geometry_warnings(geometry))


def _edges(geometry: CouplingGeometry, cells: int, cell_edges: Array | None) -> Array:
    if cell_edges is None:
        return np.linspace(geometry.shell_start, geometry.shell_end, cells + 1)
    edges = np.asarray(cell_edges, dtype=float)
    room = 1e-9 * (geometry.shell_end - geometry.shell_start)
    if (edges.ndim != 1 or edges.size < 2 or np.any(np.diff(edges) <= 0)
            or abs(edges[0] - geometry.shell_start) > room or abs(edges[-1] - geometry.shell_end) > room):
        raise InputError("must rise from shell_start to shell_end", field="cell_edges",
                         why="the pieces of the loss map add up to the loss of the whole wall")
    return edges


def _geometry_warnings(geometry: CouplingGeometry) -> tuple[str, ...]:
    found = []
    wall, extent = geometry.wall, geometry.extent
    turn = geometry.pole_pairs / wall.mean_radius
    if turn * wall.thickness > PITCH_LIMIT:
        found.append(told("wall over pole pitch: p t / r is {turn:.2f}; the loss model holds up to {pitch_limit:g}",
                          turn=turn * wall.thickness, pitch_limit=PITCH_LIMIT))
    for name, value in (("inner", geometry.inner_permeability), ("outer", geometry.outer_permeability)):
        if value > PERMEABILITY_LIMIT:
            found.append(told("{name} magnets have a recoil permeability of {value:g}; the torque model holds up to "
                              "{permeability_limit:g}", name=name, value=value, permeability_limit=PERMEABILITY_LIMIT))
    first = min(-extent.inner_length / 2, extent.offset - extent.outer_length / 2)
    last = max(extent.inner_length / 2, extent.offset + extent.outer_length / 2)
    overhang = min(first - wall.start, wall.end - last)
    active = turn * (last - first) / 2
    if overhang <= 0:
        found.append("conducting wall ends under the magnets; the loss holds only if the wall is insulated "
                     "there")
    else:
        reach = np.tanh(turn * overhang)
        more = float((1 - np.tanh(active) / (active * (1 + np.tanh(active) / reach)))
                     / overhang_factor(active, turn * overhang) - 1)
        if more > 0.02:
            found.append(told("conducting wall ends {overhang:.3g} mm beyond the magnets; where it is joined to a "
                              "thick flange or end, the loss is up to {more:.0f} % higher than computed",
                              overhang=overhang * 1000.0, more=more * 100))
    if abs(extent.offset) > 0:
        found.append("axial force is that between the magnet rings with long yokes; the pull on the ends of "
                     "the iron is not in it")
    return tuple(found)
