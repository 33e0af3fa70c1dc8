"""The tables of ``--full``: flow limits, suction, bearings, start, shell, motor, surfaces, standing still."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.paper import Paper
from wetpath.physics.film.journal_film import ECCENTRICITIES
from wetpath.rating.flow_limits import FlowLimit
from wetpath.rating.rate import Rating
from wetpath.rating.surface_state import Surface, class_limit_asked

Array = NDArray[np.float64]
Row = tuple[str, Sequence[str]]

MILLIONS_OF_HOURS = 3.6e9       # [s], a million
#: What a page without them says.
POINTER = ("With --full also: flow limits, suction, bearings and thrust, start and loss of step, shell, motor, "
           "surfaces and temperature class, standing still and shut in, every source.")


class FullTables:
    """Writes the state of each part over the cases of a rating."""

    def __init__(self, rating: Rating, figures: Figures, paper: Paper) -> None:
        self.rating, self.figures, self.paper = rating, figures, paper
        self.situation, self.names = rating.situation, rating.case_names

    def write(self) -> None:
        """Write all tables."""
        self._flow_limits()
        self._suction()
        self._bearings()
        self._start()
        self._shell()
        self._motor()
        self._surfaces()
        self._standstill()

    def _table(self, heading: str, rows: Sequence[Row], more: str = "") -> None:
        self.paper.heading(heading, more)
        self.paper.by_case(self.names, rows)

    def _texts(self, texts: Sequence[str]) -> list[str]:
        return [text or NOTHING for text in texts]

    def _flow_limits(self) -> None:
        limits, row = self.rating.flow_limits, self.figures.row
        rows: list[Row] = [
            row("flow", limits.flow, q.VOLUME_FLOW),
            row("minimum continuous flow", np.where(limits.minimum > 0, limits.minimum, np.nan), q.VOLUME_FLOW),
            ("   set by", self._texts(limits.minimum_by)), row("maximum flow", limits.maximum, q.VOLUME_FLOW),
            ("   set by", self._texts(limits.maximum_by))]
        if limits.by_pass.any():
            rows.append(row("by-pass to the vessel", limits.by_pass, q.VOLUME_FLOW))
        self._table("Flow limits", rows)
        self._table("Flow limits one by one", [(one.name if one.counts else f"({one.name})", self._ranges(one))
                                               for one in limits.limits], f"in {self.figures.unit(q.VOLUME_FLOW)}")
        self.paper.say(f"{NOTHING}: sets none within the flows looked at.")
        if not all(one.counts for one in limits.limits):
            self.paper.say("In brackets: not heeded by minimum and maximum, for no trip of the enquiry needs it.")

    def _ranges(self, limit: FlowLimit) -> list[str]:
        """Flows between which one demand holds, in words."""
        ends = [self.figures.column(np.where(np.isfinite(values), values, np.nan).tolist(), q.VOLUME_FLOW, decimals=1)
                for values in (limit.lowest, limit.highest)]
        found = []
        for low, high, lowest, nowhere in zip(*ends, limit.lowest, limit.holds_nowhere, strict=True):
            if nowhere or math.isnan(lowest):
                found.append("at no flow" if nowhere else "not known")
            elif high == NOTHING:
                found.append(f"from {low}" if lowest > 0 else NOTHING)
            else:
                found.append(f"{low} to {high}" if lowest > 0 else f"to {high}")
        return found

    def _suction(self) -> None:
        state, row = self.situation.suction, self.figures.row
        rows = [row("NPSH available, nothing returned", state.npsh_without_return, q.HEAD),
                row("lost to warm return to the eye", state.npsh_lost, q.HEAD),
                row("NPSH3 with margin", state.npsh_needed, q.HEAD),
                row("warmer in the eye by", state.eye_rise, q.TEMPERATURE_DIFFERENCE)]
        if np.isfinite(state.level).any():
            rows += [row("level above the shaft", state.level, q.HEAD),
                     row("lowest level for NPSH", state.lowest_level, q.HEAD)]
        if np.isfinite(state.degassing).any():
            rows.append(row("gas comes out of solution below", state.degassing, q.PRESSURE))
        if np.isfinite(state.gas_share).any():
            rows += [row("largest gas share by volume", state.gas_share, q.RATIO, decimals=1),
                     ("   at", self._texts(state.gas_at))]
        self._table("Suction", rows)

    def _bearings(self) -> None:
        state, row, rows = self.situation.bearings, self.figures.row, list[Row]()
        carried = state.film_words(self.rating.practice["film_ratio"].value)
        beyond = state.eccentricity_ratio > ECCENTRICITIES[-1]
        for at, name in enumerate(bearing.name for bearing in state.bearings):
            rows += [row(f"{name} journal: load", state.load[:, at], q.FORCE),
                     row("   specific load", state.specific_load[:, at], q.STRESS),
                     row("   liquid at", state.temperature[:, at], q.TEMPERATURE),
                     row("   viscosity", state.viscosity[:, at], q.DYNAMIC_VISCOSITY),
                     _bracketed(row("   least film", state.film_thickness[:, at], q.ROUGHNESS), beyond[:, at]),
                     _bracketed(row("   film over roughness", state.film_ratio[:, at], q.NUMBER), beyond[:, at]),
                     _bracketed(("   carried by", [of_case[at] for of_case in carried]), beyond[:, at])]
        thrust = self.situation.thrust
        if thrust.stated:
            for title, total in (("axial thrust", thrust.new.total),
                                 ("axial thrust, ring worn", thrust.worn.total)):
                rows += [row(title, total, q.FORCE), ("   carried by", self._texts(thrust.where(total))),
                         row("   pressure on the face", thrust.face_pressure(total), q.STRESS)]
        external = self.situation.external_bearings
        if external is not None:
            for at, place in enumerate(("front", "rear")):
                rows += [row(f"{place} external: load", external.equivalent_load[:, at], q.FORCE),
                         row("   rating life", external.life[:, at], q.LIFE)]
        self._table("Bearings and thrust", rows)
        if thrust.stated:
            self.paper.say("Thrust is positive towards the suction.")
        if beyond.any():
            self.paper.say(f"In brackets: beyond the film table, eccentricity ratio above {ECCENTRICITIES[-1]}; the "
                           "film is then taken thinner than it is.")
        if external is not None and (external.life > MILLIONS_OF_HOURS).any():
            self.paper.say("A rating life of millions of hours says that fatigue does not end these bearings, but "
                           "grease and dirt.")

    def _start(self) -> None:
        start, coupling, row = self.situation.start, self.situation.coupling, self.figures.row
        rows: list[Row] = [row("torque through coupling at start", start.torque, q.TORQUE),
                           row("pull-out over torque at start", start.ratio, q.NUMBER)]
        if start.swing.any():
            rows.append(row("peak as rings swing at switch-on", start.swing, q.TORQUE))
        for ring, running, slipping in zip(("inner", "outer"), coupling.field_running, coupling.field_opposing,
                                           strict=True):
            rows += [row(f"field over coercivity, {ring} ring", running, q.RATIO),
                     row("   when the rings slip", slipping, q.RATIO)]
        unit, decimals = ("W", 0) if self.figures.units.name == "metric" else ("hp", 2)
        rows += [row("loss in the shell, rings slipping", coupling.slip_loss, q.POWER, unit=unit, decimals=decimals),
                 row("   over the loss in step", coupling.slip_share, q.NUMBER, decimals=2)]
        self._table("Start of the coupling and loss of step", rows)
        estimated = ", ".join(start.inertias.estimated)
        self.paper.say(
            f"The motor gives {self.figures.text(start.driver_torque, q.TORQUE)} at most while it starts, "
            f"{start.starter}. Inertia: driven by the motor {self.figures.text(start.inertias.drive, q.INERTIA)}, "
            f"behind the magnets {self.figures.text(start.inertias.pump, q.INERTIA)}"
            + (f"; estimated: {estimated}." if estimated else "."))

    def _shell(self) -> None:
        state, row, text = self.situation.shell, self.figures.row, self.figures.text
        rows = [row("pressure inside above outside", state.inside, q.PRESSURE_DIFFERENCE),
                row("   the shell bears", state.bears, q.PRESSURE_DIFFERENCE),
                row("pressure outside above inside", np.maximum(state.vacuum, 0.0), q.PRESSURE_DIFFERENCE),
                row("hoop stress by pressure", state.membrane_stress, q.STRESS),
                row("   allowable stress", state.allowable_stress, q.STRESS),
                row("stress by heat in the wall", state.thermal_stress, q.STRESS),
                row("wetted wall, hottest", state.temperature, q.TEMPERATURE),
                row("   outside hotter by", state.gradient, q.TEMPERATURE_DIFFERENCE)]
        self._table("Containment shell", rows)
        self.paper.say(
            f"Sound wall {text(state.sound_wall, q.LENGTH)}. From outside it bears "
            f"{text(state.bears_outside, q.PRESSURE_DIFFERENCE)}. Hydrostatic test at "
            f"{text(state.test_pressure, q.PRESSURE_DIFFERENCE)} above the atmosphere, hoop stress then "
            f"{text(state.test_stress_share, q.RATIO)} of yield.")

    def _motor(self) -> None:
        state, row, text = self.situation.driver, self.figures.row, self.figures.text
        rows = [row("shaft power", self.rating.losses.shaft, q.POWER),
                row("motor gives at the site", state.available, q.POWER),
                row("most over the whole curve", state.highest_power, q.POWER),
                row("   at flow", state.highest_power_flow, q.VOLUME_FLOW),
                row("at shut-off", state.shut_off_power, q.POWER),
                row("power from the supply", state.input_power, q.POWER),
                row("   with the tolerance of efficiency", state.largest_input_power, q.POWER),
                row("shaft power, works test on water", state.water_power, q.POWER),
                row("   pull-out over torque then", state.water_coupling_ratio, q.NUMBER)]
        slowest = self.situation.slow_running
        if np.isfinite(slowest).any():
            rows.append(row("circulation holds down to", slowest, q.ROTATIONAL_SPEED))
        self._table("Motor", rows)
        size = (text(state.recommended, q.POWER) if math.isfinite(state.recommended)
                else "none of the series is large enough")
        asked = f"; {state.class_asked} asks for {text(state.efficiency_asked, q.RATIO)}" if state.class_asked else ""
        self.paper.say(f"Nameplate {text(state.rated_power, q.POWER)}. Smallest rating of the series with margin and "
                       f"over the whole curve: {size}. Efficiency {text(state.efficiency, q.RATIO)}{asked}.")

    def _surfaces(self) -> None:
        state, row, site = self.situation.surfaces, self.figures.row, self.situation.demands.site
        rows: list[Row] = [row("normal operation", state.normal.temperature, q.TEMPERATURE),
                           ("   hottest", self._texts(state.normal.where)),
                           ("   temperature class", self._classes(state.normal))]
        for one in state.malfunctions:
            told_only = np.where(np.isfinite(one.temperature), one.temperature, np.nan)
            title, values = row(one.name, told_only, q.TEMPERATURE, decimals=0)
            rows += [(title, ["no end" if math.isinf(real) else told
                              for real, told in zip(one.temperature, values, strict=True)]),
                     ("   temperature class", self._classes(one))]
        if np.isfinite(state.dry_time).any():
            rows.append(row(f"dry: time to the limit of {site.temperature_class}", state.dry_time, q.TIME, decimals=0))
        if state.dry_rate.any():
            title, values = row("dry: shell warms by", state.dry_rate, q.TEMPERATURE_DIFFERENCE)
            rows.append((f"{title}/s", values))
        self._table("Surfaces and temperature class", rows)
        if site.temperature_class != "none":
            self.paper.say(f"Asked: {site.temperature_class}, with its margin "
                           f"{self.figures.text(class_limit_asked(self.situation), q.TEMPERATURE)} at most.")
        guarded = "; ".join(f"{one.name}: {', '.join(one.guards) or 'no trip'}" for one in state.malfunctions)
        self.paper.say(f"Trips of the enquiry that act before: {guarded}.")
        self.paper.say("Dry, without circulation and out of step: the end that the hottest piece of shell would reach, "
                       "its heat going to the air alone; an upper bound. An aid for whoever is responsible for "
                       "explosion protection, no certificate.")

    def _classes(self, surface: Surface) -> list[str]:
        return [NOTHING if math.isnan(value) else "above T1" if told == "none" else str(told)
                for value, told in zip(surface.temperature, surface.classes(), strict=True)]

    def _standstill(self) -> None:
        state, row = self.situation.standstill, self.figures.row
        warms, rates = row("closed valves: warms by", 60 * state.heating_rate, q.TEMPERATURE_DIFFERENCE)
        self._table("Standing still and shut in", [
            row("after a stop: liquid behind, up to", state.soaked, q.TEMPERATURE),
            row("   boils at suction pressure at", state.boiling, q.TEMPERATURE),
            row("   below boiling by", state.margin, q.TEMPERATURE_DIFFERENCE),
            row("   inner magnets, up to", state.magnets, q.TEMPERATURE),
            row("closed valves: power into the pump", state.shut_in_power, q.POWER), (f"{warms}/min", rates),
            row("   until it boils", state.time_to_boiling, q.TIME, decimals=0),
            row("   until relief pressure, if full", state.time_to_relief, q.TIME, decimals=0)])
        self.paper.say("After a stop nothing is lost to the air and a hot casing soaks through; upper bounds. Between "
                       "closed valves all power but that to the air stays in liquid and metal; boiling at the relief "
                       "pressure, or at the pressure rating of the casing where none is given.")


def _bracketed(row: Row, which: NDArray[np.bool_]) -> Row:
    """The same row with brackets around the cases whose value is no result."""
    name, texts = row
    return name, [f"({text})" if marked else text for text, marked in zip(texts, which, strict=True)]
