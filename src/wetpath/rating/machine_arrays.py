"""Pump files turned into the arrays of the coupled solve, one or many pumps at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import nan

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.rotor_loads import Magnets
from wetpath.circulation.solve import MachineArrays
from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import CouplingResponse, coupling_response
from wetpath.edge.tables import ShellMaterial
from wetpath.machine.branches import Annulus
from wetpath.machine.measured import MeasuredCoupling
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.measured_scale import MeasuredScale, Rings, measured_scale
from wetpath.rating.per_pump import once_per_pump

Array = NDArray[np.float64]

#: Cells along the annulus under the magnets.
CELLS = 20
#: Orders of the torque series that the solve carries.
TORQUE_ORDERS = 15
#: Odd orders of the shell loss that the solve carries.
LOSS_ORDERS = 8


@once_per_pump
def coupling_geometry(pump: PumpFile) -> CouplingGeometry:
    """Geometry of both rings and the shell between them.

    The closed end is taken as the cylinder going on for the length along its surface. Its own field is weaker,
    nearer to the axis and away from the magnets, so that this bounds its loss from above.
    """
    inner, outer, shell = pump.inner_ring, pump.outer_ring, pump.containment_shell
    material = pump.shell_material
    anisotropy = (material.resistivity_across_fibre / material.resistivity_along_fibre
                  if material.conduction == "partly" else 1.0)
    return CouplingGeometry(
        pole_pairs=inner.poles // 2, inner_back_radius=inner.inner_diameter / 2,
        inner_face_radius=inner.outer_diameter / 2, outer_face_radius=outer.inner_diameter / 2,
        outer_back_radius=outer.outer_diameter / 2, inner_length=inner.length, outer_length=outer.length,
        shell_inner_radius=shell.wall_radius, shell_thickness=shell.wall,
        shell_start=shell.rear_overhang - shell.length, shell_end=shell.rear_overhang + shell.end_length,
        inner_arc=inner.arc, outer_arc=outer.arc,
        inner_magnetisation=inner.magnetisation, outer_magnetisation=outer.magnetisation,
        inner_segments=inner.segments, outer_segments=outer.segments,
        inner_permeability=pump.inner_magnet.recoil_permeability,
        outer_permeability=pump.outer_magnet.recoil_permeability, outer_offset=outer.axial_offset,
        inner_yoke_thickness=inner.yoke_thickness, outer_yoke_thickness=outer.yoke_thickness,
        shell_anisotropy=anisotropy)


@once_per_pump
def remanences(pump: PumpFile) -> tuple[float, float]:
    """Remanence of inner and outer magnets at 20 degC [T]."""
    return (pump.inner_ring.remanence or pump.inner_magnet.remanence,
            pump.outer_ring.remanence or pump.outer_magnet.remanence)


@once_per_pump
def magnets_of(pump: PumpFile) -> Magnets:
    """Both magnets as the compiled forces on the rotor take them."""
    inner, outer = remanences(pump)
    return Magnets(float(inner), float(outer), float(pump.inner_magnet.remanence_coefficient),
                   float(pump.outer_magnet.remanence_coefficient))


@once_per_pump
def shell_conductivity(pump: PumpFile) -> float:
    """Electrical conductivity of the shell wall at 20 degC [S/m], of the second wall where the first insulates.

    0 when both insulate. Of a partly conductive wall that along the fibre, all of it taken around the shell: an
    upper bound.
    """
    return _wall_conductivity(pump) or _liner_conductivity(pump)


def _wall_conductivity(pump: PumpFile) -> float:
    if pump.containment_shell.resistivity:
        return 1 / pump.containment_shell.resistivity
    return _conductivity(pump.shell_material)


def _liner_conductivity(pump: PumpFile) -> float:
    return 0.0 if pump.liner_material is None else _conductivity(pump.liner_material)


def _conductivity(material: ShellMaterial) -> float:
    if material.conduction == "insulating":
        return 0.0
    return 1 / (material.resistivity_along_fibre if material.conduction == "partly" else material.resistivity)


@dataclass(frozen=True)
class Walls:
    """How much of the loss of each wall counts, the first and the second, for unit conductivity of the shell."""

    first: float
    second: float
    second_radius: float
    second_thickness: float


def walls_of(pump: PumpFile) -> Walls | None:
    """The two walls of a shell with a second one; None when there is one wall."""
    shell = pump.containment_shell
    if shell.liner is None:
        return None
    reference = shell_conductivity(pump) or 1.0
    return Walls(_wall_conductivity(pump) / reference, _liner_conductivity(pump) / reference, shell.liner_radius,
                 shell.liner.wall)


@lru_cache(maxsize=512)
def response_of_walls(geometry: CouplingGeometry, wet_length: float, walls: Walls | None) -> CouplingResponse:
    """Torque and loss map of a coupling; with two walls their losses, each in its own field, added."""
    first = response_of(geometry, wet_length)
    if walls is None:
        return first
    second = response_of(replace(geometry, shell_inner_radius=walls.second_radius,
                                 shell_thickness=walls.second_thickness, shell_anisotropy=1.0), wet_length)
    orders = slice(0, min(first.loss_orders.size, second.loss_orders.size))

    def added(name: str) -> Array:
        return np.asarray(walls.first * getattr(first, name)[orders] + walls.second * getattr(second, name)[orders])

    note = "two walls: their losses are added; that the currents of one weaken the field in the other is left out"
    return replace(first, loss_orders=first.loss_orders[orders], reaction=first.reaction[orders],
                   shell_field=first.shell_field[:, orders], loss_inner=added("loss_inner"),
                   loss_outer=added("loss_outer"), loss_cross=added("loss_cross"),
                   warnings=(*dict.fromkeys((*first.warnings, *second.warnings)), note))


def end_share(pump: PumpFile) -> float:
    """Share of the shell loss without load that falls in the closed end, at most."""
    geometry = coupling_geometry(pump)
    edges = np.array([geometry.shell_start, pump.containment_shell.rear_overhang, geometry.shell_end])
    inner, outer = remanences(pump)
    loss = coupling_response(geometry, cell_edges=edges).cell_loss(0.0, 1.0, 1.0, inner, outer)
    return float(loss[1] / loss.sum())


@lru_cache(maxsize=512)
def response_of(geometry: CouplingGeometry, wet_length: float) -> CouplingResponse:
    """Torque and loss map of a coupling, cells along the wetted cylinder, its ends taking what lies beyond."""
    edges = np.linspace(-wet_length / 2, wet_length / 2, CELLS + 1)
    edges[0], edges[-1] = geometry.shell_start, geometry.shell_end
    if not (np.diff(edges) > 0).all():
        edges = np.linspace(geometry.shell_start, geometry.shell_end, CELLS + 1)
    return coupling_response(geometry, cell_edges=edges)


def model_response_for(pump: PumpFile) -> CouplingResponse:
    """Torque and loss map of the coupling of a pump, by the model alone."""
    return response_of_walls(coupling_geometry(pump), pump.inner_ring.wet_length, walls_of(pump))


@once_per_pump
def response_for(pump: PumpFile) -> CouplingResponse:
    """Torque and loss map of the coupling of a pump, scaled to what was measured on it."""
    if pump.measured is None:
        return model_response_for(pump)
    return _scaled(coupling_geometry(pump), pump.inner_ring.wet_length, walls_of(pump), rings_of(pump),
                   pump.measured)[1]


@once_per_pump
def scale_for(pump: PumpFile) -> MeasuredScale:
    """How measured points scale the model."""
    if pump.measured is None:
        return MeasuredScale()
    return _scaled(coupling_geometry(pump), pump.inner_ring.wet_length, walls_of(pump), rings_of(pump),
                   pump.measured)[0]


@once_per_pump
def cold_pull_out(pump: PumpFile) -> tuple[float, float]:
    """Load angle [electrical rad] and value [N m] of the largest torque, magnets at 20 degC."""
    return response_for(pump).pull_out(*remanences(pump))


def rings_of(pump: PumpFile) -> Rings:
    """Magnets and wall, and how they change with temperature."""
    return Rings(remanences(pump), (pump.inner_magnet.remanence_coefficient, pump.outer_magnet.remanence_coefficient),
                 shell_conductivity(pump), resistivity_slope(pump))


def resistivity_slope(pump: PumpFile) -> float:
    """Temperature coefficient of the resistivity of the wall that conducts [1/K]."""
    conducting = pump.shell_material if _wall_conductivity(pump) or pump.liner_material is None else pump.liner_material
    return max(conducting.resistivity_coefficient, 0.0)


@lru_cache(maxsize=512)
def _scaled(geometry: CouplingGeometry, wet_length: float, walls: Walls | None, rings: Rings,
            measured: MeasuredCoupling) -> tuple[MeasuredScale, CouplingResponse]:
    response = response_of_walls(geometry, wet_length, walls)
    scale = measured_scale(measured, response, rings)
    return scale, scale.applied(response)


@once_per_pump
def own_machine_arrays(pump: PumpFile) -> MachineArrays:
    """Arrays of one pump."""
    return machine_arrays([pump])


def machine_arrays(pumps: Sequence[PumpFile]) -> MachineArrays:
    """Arrays of pumps whose circulation has the same branches between the same stations."""
    rows = np.array([pump.network.rows for pump in pumps])
    taps = np.array([pump.network.tap_rows for pump in pumps])
    shell = np.array([_shell_row(pump) for pump in pumps])
    magnets = [_magnet_arrays(pump) for pump in pumps]
    torque, inner, outer, cross, ring = (np.array(arrays) for arrays in zip(*magnets, strict=True))
    return MachineArrays(rows, taps, shell, torque, inner, outer, cross, ring)


def _shell_row(pump: PumpFile) -> Array:
    row = np.zeros(solve.SHELL_COLUMNS)
    row[solve.WALL] = pump.containment_shell.thickness
    row[solve.RESISTIVITY_SLOPE] = resistivity_slope(pump)
    row[solve.AIR_COEFFICIENT] = pump.containment_shell.air_side_coefficient
    row[solve.CONDUCTIVITY] = shell_conductivity(pump)
    row[solve.OUTER_RING_SHARE] = pump.coupling_housing.outer_ring_share
    return row


def _magnet_arrays(pump: PumpFile) -> tuple[Array, Array, Array, Array, Array]:
    response = response_for(pump)
    inner, outer = remanences(pump)
    parts = np.zeros((3, TORQUE_ORDERS))
    count = min(response.torque_orders.size, TORQUE_ORDERS)
    parts[0, :count] = inner * outer * response.torque[:count]
    parts[1, :count] = inner**2 * response.torque_inner[:count]
    parts[2, :count] = outer**2 * response.torque_outer[:count]
    angle, _ = cold_pull_out(pump)
    # the reaction of the wall's currents, under half a per cent, is taken at the driver's speed and 20 degC
    lag = shell_conductivity(pump) * pump.driver.speed * response.reaction
    weakened = 1 / (1 + lag**2)[:, None]
    from_inner = inner**2 * (response.loss_inner * weakened).sum(axis=0)
    from_outer = outer**2 * (response.loss_outer * weakened).sum(axis=0)
    cross = np.zeros((LOSS_ORDERS, CELLS))
    orders = min(response.loss_orders.size, LOSS_ORDERS)
    cross[:orders] = inner * outer * (response.loss_cross * weakened)[:orders]
    if _flows_forward(pump):  # cells count in flow order, the response from the impeller side to the rear
        from_inner, from_outer, cross = from_inner[::-1].copy(), from_outer[::-1].copy(), cross[:, ::-1].copy()
    ring = np.full(solve.RING_COLUMNS, nan)
    ring[solve.PULL_OUT_ANGLE] = angle
    ring[solve.INNER_SLOPE] = pump.inner_magnet.remanence_coefficient
    ring[solve.OUTER_SLOPE] = pump.outer_magnet.remanence_coefficient
    return parts, from_inner, from_outer, cross, ring


def _flows_forward(pump: PumpFile) -> bool:
    return next(entry.towards for entry in pump.branches if isinstance(entry, Annulus)) == "impeller"
