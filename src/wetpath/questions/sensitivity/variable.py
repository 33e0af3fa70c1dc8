"""The inputs of a rating that can be changed: by name, with what they are, and how they change a sample."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import laws, solve
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.machine import branches as listed
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.sensitivity.sample import Sample
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.pump_model import Inputs
from wetpath.words import told

Array = NDArray[np.float64]
Move = Callable[[Sample, Array], None]
Group = Literal["case", "pump", "model"]

#: Wall heat transfer goes with this power of the liquid's conductivity, Nu with Pr to the power 1/3.
FILM_EXPONENT = 2.0 / 3.0
#: Share by which the wall is made thinner and thicker to learn how its loss follows; a parabola joins the three.
WALL_SHARE = 0.1


@dataclass(frozen=True, eq=False)
class Variable:
    """One input that can be changed, in one operating case; SI."""

    name: str
    title: str
    group: Group
    kind: Kind               # of a change of it
    meaning: str
    nominal: float           # 1 for a factor
    worth: float             # change of which the worth is told
    step: float              # longest step of a difference
    move: Move               # changes a sample by one change per copy
    family: str = ""         # what its spread is called, where several variables share one

    @property
    def spread_name(self) -> str:
        """Name of its spread."""
        return self.family or self.name

    @property
    def is_factor(self) -> bool:
        """Whether it multiplies something of the model."""
        return self.group == "model" and self.nominal == 1.0


def variables_of(pump: PumpFile, inputs: Inputs) -> tuple[Variable, ...]:
    """Return every input that can be changed of a pump in the one case of ``inputs``."""
    return (*_case(inputs), *_holes(pump), *_other_geometry(pump), *_circulation_model(pump), *_factors(pump))


def _case(inputs: Inputs) -> Iterator[Variable]:
    rows = (
        ("flow", "flow", q.VOLUME_FLOW, "flow at the suction flange; the suction pressure stays", 1 / 3600, 0.02),
        ("temperature", "liquid temperature", q.TEMPERATURE_DIFFERENCE,
         "of the liquid at the suction flange; the suction pressure stays", -1.0, None),
        ("pressure", "suction pressure", q.PRESSURE_DIFFERENCE, "at the suction flange", 1e5, 0.02),
        ("speed", "speed", q.ROTATIONAL_SPEED, "of the motor shaft; the flow stays", -np.pi / 30 * 100, 0.02),
        ("air", "air temperature", q.TEMPERATURE_DIFFERENCE, "around the containment shell", -10.0, None))
    names = {"pressure": "suction_pressure", "air": "air_temperature"}
    for column, title, kind, meaning, worth, share in rows:
        nominal = float(getattr(inputs, column)[0])
        yield Variable(names.get(column, column), title, "case", kind, meaning, nominal, worth,
                       1.0 if share is None else share * nominal, partial(_move_input, column))


def _holes(pump: PumpFile) -> Iterator[Variable]:
    holder, shaft = pump.bush_holder, pump.shaft
    rows: tuple[tuple[str, str, type[listed.Passage], float], ...] = (
        ("feed_hole_diameter", "feed hole diameter", listed.FeedHoles, holder.feed_diameter),
        ("shaft_hole_diameter", "shaft hole diameter", listed.ShaftHolesPassage, shaft.holes.diameter
         if shaft.holes else 0.0),
        ("shaft_bore_diameter", "shaft bore diameter", listed.ShaftBore, shaft.bore or 0.0),
        ("return_hole_diameter", "return hole diameter", listed.ReturnHoles, holder.return_diameter))
    for name, title, entry, diameter in rows:
        rows_of = _rows_of(pump, entry)
        if rows_of:
            yield Variable(name, title, "pump", q.LENGTH, "drilled diameter, all of them together", diameter, 1e-4,
                           0.02 * diameter, partial(_move_diameter, rows_of))


def _other_geometry(pump: PumpFile) -> Iterator[Variable]:
    gap, wall = pump.rotor_gap, pump.containment_shell.wall
    yield Variable("annulus_gap", "annulus gap", "pump", q.LENGTH,
                   "radial gap between sheath and shell, by a thinner sheath; shell and magnets stay", gap, 1e-4,
                   0.02 * gap, partial(_move_gap, [pump.network.annulus]))
    yield Variable("shell_wall", "shell wall", "pump", q.LENGTH,
                   "wall of the shell under the magnets, at the same bore and the same rings", wall, -1e-4,
                   0.02 * wall, _wall_move(pump))
    rows = pump.network.rows
    films = [int(row) for row in np.flatnonzero(rows[:, laws.JOURNAL_CLEARANCE] > 0)]
    if films:
        clearance = float(rows[films[0], laws.JOURNAL_CLEARANCE])
        yield Variable("bearing_clearance", "bearing clearance", "pump", q.LENGTH,
                       "radial clearance of all journal bearings in the circulation; their axes stay concentric",
                       clearance, 1e-5, 0.02 * clearance, partial(_move_column, films, laws.JOURNAL_CLEARANCE))


def _circulation_model(pump: PumpFile) -> Iterator[Variable]:
    taps = pump.network.tap_rows
    casing = (taps[:, solve.SIDE] == solve.TO_CASING) & (taps[:, solve.HEAD_SHARE] > 0)
    turning = casing & (taps[:, solve.SIDE_ROOM_CORE] > 0)
    for name, title, chosen, column, meaning in (
            ("discharge_head_share", "head share at the discharge tap", casing & ~turning, solve.HEAD_SHARE,
             "share of the head found as pressure where the circulation is taken"),
            ("side_room_head_share", "head share behind the impeller", turning, solve.HEAD_SHARE,
             "static share of the head at the impeller outlet"),
            ("side_room_core_rotation", "core rotation behind the impeller", turning, solve.SIDE_ROOM_CORE,
             "speed of the liquid behind the impeller over that of the impeller")):
        places = [int(tap) for tap in np.flatnonzero(chosen)]
        if places:
            yield Variable(name, title, "model", q.RATIO, meaning, float(taps[places[0], column]), 0.01, 0.01,
                           partial(_move_tap, places, column))
    for number, entry in enumerate(entry for entry in pump.branches if isinstance(entry, listed.Cavity)):
        rows = _rows_of_entry(pump, entry)
        title = entry.name or "cavity"
        yield Variable(f"core_rotation_{number + 1}", told("core rotation ({title})", title=title), "model", q.RATIO,
                       told("speed of the liquid core over that of the rotor, {title}", title=title),
                       entry.core_rotation, 0.01, 0.01,
                       partial(_move_column, rows, laws.CORE), family="core_rotation")
    swirling = _rows_of(pump, listed.ShaftHolesPassage)
    if swirling and pump.bush_holder.swirl > 0.02:
        yield Variable("holder_swirl", "swirl in the holder chamber", "model", q.RATIO,
                       "speed of the liquid around the shaft over that of the shaft, where it enters the shaft holes",
                       pump.bush_holder.swirl, 0.01, 0.01, partial(_move_column, swirling, laws.PLENUM_SWIRL))


def _factors(pump: PumpFile) -> Iterator[Variable]:
    def factor(name: str, title: str, meaning: str, move: Move) -> Variable:
        return Variable(name, title, "model", q.RATIO, meaning, 1.0, 0.01, 0.02, move)

    conducts = float(machine_arrays([pump]).shell[0, solve.CONDUCTIVITY]) > 0
    lossy = [int(row) for row in np.flatnonzero(pump.network.rows[:, laws.LOSS] > 0)]
    yield factor("hole_loss_factor", "entry and exit losses", "factor on the loss coefficients of all passages",
                 partial(_scale_column, lossy, laws.LOSS))
    if conducts:
        yield factor("shell_loss_factor", "shell loss", "factor on the eddy-current heat of the shell, by the model or "
                     "as measured", _scale_loss)
        yield factor("resistivity_factor", "shell resistivity", "factor on the resistivity of the shell wall",
                     _scale_resistivity)
    yield factor("remanence_factor", "remanence", "factor on the remanence of all magnets", _scale_remanence)
    yield factor("wall_heat_transfer_factor", "wall heat transfer",
                 "factor on the heat transfer from the shell wall to the liquid", _scale_film)
    air_side = pump.containment_shell.air_side_coefficient
    if air_side > 0:
        yield Variable("air_side_coefficient", "heat transfer to the air", "model", q.HEAT_TRANSFER_COEFFICIENT,
                       "from the shell wall to the surroundings", air_side, 0.1 * air_side, 0.02 * air_side, _move_air)
    for name, title, meaning, field in (
            ("head_factor", "head", "factor on the tested head curve", "head"),
            ("efficiency_factor", "efficiency", "factor on the tested efficiency curve", "efficiency"),
            ("npsh_factor", "NPSH3", "factor on the tested NPSH3 curve", "npsh_required"),
            ("vapour_pressure_factor", "vapour pressure", "factor on the vapour pressure of the liquid",
             "vapour_pressure"),
            ("density_factor", "density", "factor on the density of the liquid", "density"),
            ("heat_capacity_factor", "heat capacity", "factor on the heat capacity of the liquid", "heat_capacity"),
            ("viscosity_factor", "viscosity", "factor on the viscosity of the liquid", "viscosity")):
        yield factor(name, title, meaning, partial(_scale_factor, field))


def _rows_of(pump: PumpFile, kind: type[listed.Passage]) -> list[int]:
    return [row for entry in pump.branches if isinstance(entry, kind) for row in _rows_of_entry(pump, entry)]


def _rows_of_entry(pump: PumpFile, entry: listed.PassageEntry) -> list[int]:
    called = (entry.name or entry.kind, entry.start, entry.end)
    return [row for row, branch in enumerate(pump.network.branches)
            if (branch.name, branch.start, branch.end) == called]


def _move_input(column: str, sample: Sample, change: Array) -> None:
    getattr(sample.inputs, column)[:] += change


def _move_column(rows: Sequence[int], column: int, sample: Sample, change: Array) -> None:
    for row in rows:
        sample.machine.rows[:, row, column] += change


def _scale_column(rows: Sequence[int], column: int, sample: Sample, change: Array) -> None:
    for row in rows:
        sample.machine.rows[:, row, column] *= 1 + change


def _move_tap(taps: Sequence[int], column: int, sample: Sample, change: Array) -> None:
    for tap in taps:
        sample.machine.taps[:, tap, column] += change


def _move_diameter(rows: Sequence[int], sample: Sample, change: Array) -> None:
    table = sample.machine.rows
    for row in rows:
        before = table[:, row, laws.DIAMETER].copy()
        table[:, row, laws.DIAMETER] += change
        area = (table[:, row, laws.DIAMETER] / before) ** 2
        table[:, row, laws.AREA] *= area
        table[:, row, laws.INCIDENCE_FLOW] *= area


def _move_gap(rows: Sequence[int], sample: Sample, change: Array) -> None:
    table = sample.machine.rows
    for row in rows:
        table[:, row, laws.GAP] += change
        table[:, row, laws.ROTOR_RADIUS] -= change
        bore = table[:, row, laws.ROTOR_RADIUS] + table[:, row, laws.GAP]
        table[:, row, laws.AREA] = np.pi * (bore**2 - table[:, row, laws.ROTOR_RADIUS] ** 2)


def _wall_move(pump: PumpFile) -> Move:
    """A thicker wall: the loss by a parabola through three walls, their coupling solved anew when first asked."""
    shell = pump.containment_shell
    known: list[tuple[Array, Array]] = []

    def losses(wall: float) -> tuple[Array, ...]:
        # measured losses are those of the wall as it is: they scale all three walls alike
        other = pump.model_copy(update={"containment_shell": shell.model_copy(update={"wall": wall}), "measured": None})
        arrays = machine_arrays([other])
        return arrays.inner, arrays.outer, arrays.cross

    def move(sample: Sample, change: Array) -> None:
        if not known:
            thin, own, thick = (losses(shell.wall * (1 + share)) for share in (-WALL_SHARE, 0.0, WALL_SHARE))
            known.extend(map(_parabola, thin, own, thick))
        share = change / shell.wall / WALL_SHARE
        arrays = (sample.machine.inner, sample.machine.outer, sample.machine.cross)
        for array, (slope, bend) in zip(arrays, known, strict=True):
            along = share.reshape(-1, *(1,) * (array.ndim - 1))
            np.multiply(array, 1 + along * (slope + along * bend), out=array)
        sample.machine.shell[:, solve.WALL] += change

    return move


def _parabola(low: Array, middle: Array, high: Array) -> tuple[Array, Array]:
    """Slope and bend, as shares of the middle, of the parabola through values at -1, 0 and 1; 0 where that is 0."""
    slope, bend = (high - low) / 2, (high + low) / 2 - middle
    there = middle != 0
    return (np.divide(slope, middle, out=np.zeros_like(middle), where=there),
            np.divide(bend, middle, out=np.zeros_like(middle), where=there))


def _scale_loss(sample: Sample, change: Array) -> None:
    factor = 1 + change
    sample.machine.inner[:] *= factor[:, None]
    sample.machine.outer[:] *= factor[:, None]
    sample.machine.cross[:] *= factor[:, None, None]


def _scale_resistivity(sample: Sample, change: Array) -> None:
    sample.machine.shell[:, solve.CONDUCTIVITY] /= 1 + change


def _scale_remanence(sample: Sample, change: Array) -> None:
    sample.machine.torque[:] *= (1 + change[:, None, None]) ** 2
    _scale_loss(sample, (1 + change) ** 2 - 1)


def _scale_film(sample: Sample, change: Array) -> None:
    sample.conductivity[:] *= (1 + change) ** (1 / FILM_EXPONENT)


def _move_air(sample: Sample, change: Array) -> None:
    sample.machine.shell[:, solve.AIR_COEFFICIENT] += change


def _scale_factor(field: str, sample: Sample, change: Array) -> None:
    getattr(sample, field)[:] *= 1 + change
