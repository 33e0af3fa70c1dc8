"""The limits of validity of the coupling's model, each with what the coupling at hand has."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import PERMEABILITY_LIMIT, PITCH_LIMIT, SKIN_LIMIT, YOKE_LIMIT
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.magnetics.eddy_loss import wall_loss
from wetpath.physics.magnetics.end_effect import coupling_amplitudes
from wetpath.physics.magnetics.radial_modes import radial_modes
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.rating.coupling_state import HOTTEST_STRAIGHT
from wetpath.rating.machine_arrays import coupling_geometry, remanences, response_for, response_of, shell_conductivity
from wetpath.words import told

#: Arcs of magnets over pole pitch: finite elements were run from 0.70 to 0.95; at 1 there is no air between magnets.
ARCS = (0.70, 1.00)
#: Largest share of the main harmonic that the first one left out may have.
NEGLECTED_LIMIT = 1e-3


@dataclass(frozen=True)
class ModelLimit:
    """One limit of the model, SI; NaN where the pump file does not tell what is held against it."""

    name: str
    title: str
    kind: Kind
    actual: float
    lower: float | None
    upper: float
    reason: str
    warning: str               # what to say when it does not hold; empty: another warning of the study says it

    @property
    def holds(self) -> bool:
        """Whether the coupling is inside."""
        return self.actual <= self.upper and (self.lower is None or self.actual >= self.lower)


def model_limits(pump: PumpFile, conditions: Conditions) -> tuple[ModelLimit, ...]:
    """Every limit; yokes and wall with magnets and metal at 20 degC, the worst."""
    return (*_arcs(pump), *_harmonics(pump), *_wall(pump, conditions), *_yokes(pump), *_magnets(pump, conditions))


def limit_warnings(limits: tuple[ModelLimit, ...]) -> tuple[str, ...]:
    """What to say of the limits that do not hold."""
    return tuple(one.warning for one in limits if not one.holds and one.warning)


def _arcs(pump: PumpFile) -> Iterator[ModelLimit]:
    for name, ring in (("inner", pump.inner_ring), ("outer", pump.outer_ring)):
        yield ModelLimit(f"{name}_arc", told("{name} magnets over pole pitch", name=name), q.NUMBER, ring.arc, *ARCS,
                         "finite elements: 0.70 to 0.95",
                         told("arc of the {name} magnets over pole pitch is {arc:g}; torque and loss were held "
                              "against finite elements from {least:g} to {most:g}", name=name, arc=ring.arc,
                              least=ARCS[0], most=ARCS[1]))


def _harmonics(pump: PumpFile) -> Iterator[ModelLimit]:
    geometry, (inner, outer) = coupling_geometry(pump), remanences(pump)
    response = response_of(geometry, pump.inner_ring.wet_length)
    torque, loss = int(response.torque_orders[-1]), int(response.loss_orders[-1])
    beyond = _odd_harmonic(geometry, (torque + 1) // 2 * 2 + 1)[0]
    yield _harmonic("torque", torque, abs(beyond / float(response.torque[0])))
    by_inner, by_outer = _odd_harmonic(geometry, loss + 2)[1:]
    main = inner**2 * response.loss_inner[0] + outer**2 * response.loss_outer[0]
    yield _harmonic("loss", loss, (inner**2 * by_inner + outer**2 * by_outer) / float(main.sum()))


def _harmonic(name: str, highest: int, share: float) -> ModelLimit:
    title = {"torque": "torque harmonic left out over the main", "loss": "loss harmonic left out over the main"}[name]
    return ModelLimit(f"{name}_harmonics", title, q.RATIO, share, None, NEGLECTED_LIMIT,
                      told("series kept to harmonic {highest}", highest=highest),
                      told("the first {title} harmonic is {share:.2g} %; the limit is {limit:g} %",
                           title=title, share=100 * share, limit=100 * NEGLECTED_LIMIT))


@lru_cache(maxsize=512)
def _odd_harmonic(geometry: CouplingGeometry, wave: int) -> tuple[float, float, float]:
    """Torque, and loss by inner and outer ring, of one odd harmonic per tesla squared, as in `coupling_response`."""
    order = geometry.pole_pairs * np.array([float(wave)])
    modes = radial_modes(order, geometry.section, *geometry.magnetisation(order))
    loss = wall_loss(modes, geometry.extent, geometry.wall, np.array([geometry.shell_start, geometry.shell_end]))
    return (float(coupling_amplitudes(modes, geometry.extent)[0][0]), float(loss.inner.sum()),
            float(loss.outer.sum()))


def _wall(pump: PumpFile, conditions: Conditions) -> Iterator[ModelLimit]:
    wall = coupling_geometry(pump).wall
    yield ModelLimit("skin_depth", "wall over skin depth, third harmonic", q.NUMBER,
                     response_for(pump).wall_in_skin_depths(conditions.speed, shell_conductivity(pump)), None,
                     SKIN_LIMIT, "currents even through the wall", "")
    yield ModelLimit("pole_pitch", "pole pairs × wall over radius", q.NUMBER,
                     pump.inner_ring.poles / 2 * wall.thickness / wall.mean_radius, None, PITCH_LIMIT,
                     "field of a thin wall", "")


def _yokes(pump: PumpFile) -> Iterator[ModelLimit]:
    for name, density in zip(("inner", "outer"), response_for(pump).yoke_density(*remanences(pump)), strict=True):
        yield ModelLimit(f"{name}_yoke", told("{name} yoke, no load", name=name), q.FLUX_DENSITY,
                         float("nan") if density is None else density, None, YOKE_LIMIT,
                         "iron not saturated", "")


def _magnets(pump: PumpFile, conditions: Conditions) -> Iterator[ModelLimit]:
    yield ModelLimit("recoil_permeability", "recoil permeability of the magnets", q.NUMBER,
                     max(pump.inner_magnet.recoil_permeability, pump.outer_magnet.recoil_permeability), None,
                     PERMEABILITY_LIMIT, "magnets nearly as air", "")
    yield ModelLimit("magnet_temperature", "hotter magnets", q.TEMPERATURE, max(conditions.magnets),
                     None, HOTTEST_STRAIGHT, "straight over temperature", "")
