"""The pump file: all parts of one pump, assembled and checked against each other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import ClassVar, TypeVar

from pydantic import Field

from wetpath.circulation import branch
from wetpath.circulation.branch import Branch
from wetpath.circulation.network import Network, Tap
from wetpath.edge.files import Document
from wetpath.edge.part import drawing, rule
from wetpath.edge.tables import Magnet, ShellMaterial, magnet, material, materials, shell_material
from wetpath.errors import InputError, UnknownName
from wetpath.machine import branches as listed
from wetpath.machine.bearings import JournalBearing, ThrustBearing
from wetpath.machine.bush_holder import BushHolder
from wetpath.machine.casing import Casing
from wetpath.machine.containment_shell import ContainmentShell
from wetpath.machine.drive_end import CouplingHousing, Driver
from wetpath.machine.external_bearings import ExternalBearings
from wetpath.machine.impeller import Impeller
from wetpath.machine.measured import MeasuredCoupling
from wetpath.machine.rings import InnerRing, OuterRing
from wetpath.machine.shaft import Shaft
from wetpath.words import told

Named = TypeVar("Named", JournalBearing, ThrustBearing)


class PumpFile(Document):
    """One pump as its drawing describes it."""

    document_kind: ClassVar[str] = "pump"
    document_name: ClassVar[str] = "pump file"
    document_use: ClassVar[str] = "give it as the pump of a rating: wetpath rate ENQUIRY --pump FILE"

    name: str = drawing("what reports call the pump")
    note: str = drawing("anything the reader should know", default="")
    casing: Casing
    impeller: Impeller
    shaft: Shaft
    bush_holder: BushHolder
    journal_bearings: tuple[JournalBearing, ...] = Field(min_length=1)
    thrust_bearings: tuple[ThrustBearing, ...] = ()
    inner_ring: InnerRing
    containment_shell: ContainmentShell
    outer_ring: OuterRing
    coupling_housing: CouplingHousing = CouplingHousing()
    external_bearings: ExternalBearings | None = drawing("rolling bearings of the drive shaft; none in a close-coupled "
                                                         "pump, whose outer ring the motor carries", default=None)
    driver: Driver
    measured: MeasuredCoupling | None = drawing("what was measured on the coupling; it scales the model",
                                               default=None)
    stations: tuple[listed.Station, ...] = ()
    taps: tuple[listed.TapEntry, ...] = Field(min_length=2)
    branches: tuple[listed.PassageEntry, ...] = Field(min_length=3)

    @rule
    def rings_fit_the_shell(self) -> None:
        """Sheath, shell and outer magnets lie outside each other."""
        shell, inner, outer = self.containment_shell, self.inner_ring, self.outer_ring
        if inner.sheath_diameter >= shell.bore:
            raise InputError(f"is not larger than the sheath, {inner.shown('sheath_diameter')}",
                             field="containment_shell.bore", value=f'"{shell.shown("bore")}"',
                             do="the liquid needs a gap between sheath and shell")
        if shell.bore + 2 * shell.thickness >= outer.inner_diameter:
            outside = 1e3 * (shell.bore + 2 * shell.thickness)
            raise InputError(f"is not larger than the outside of the shell, {outside:.2f} mm",
                             field="outer_ring.inner_diameter", value=f'"{outer.shown("inner_diameter")}"',
                             do="the outer ring needs an air gap around the shell")

    @rule
    def cavities_fit_the_shell(self) -> None:
        """Radii of cavities lie inside the shell."""
        for number, entry in enumerate(self.branches, start=1):
            if isinstance(entry, listed.Cavity) and max(entry.radius_from, entry.radius_to) > self.casing_radius:
                largest = f"{1e3 * self.casing_radius:.1f} mm"
                raise InputError(f"is larger than the largest radius inside the pump, {largest}",
                                 field=f"branches[{number}].radius_to", do="give radii, not diameters")

    @rule
    def journals_stand_apart(self) -> None:
        """No two journal bearings stand in one place: the levers between them carry the rotor."""
        places = [bearing.position for bearing in self.journal_bearings]
        for number, bearing in enumerate(self.journal_bearings, start=1):
            if bearing.position in places[:number - 1]:
                raise InputError("is that of another journal bearing", field=f"journal_bearings[{number}].position",
                                 value=f'"{bearing.shown("position")}"', do="give where each stands along the shaft")

    @rule
    def materials_are_known(self) -> None:
        """Shell material and magnets are rows of the tables."""
        for field, table in (("containment_shell.material", "shell_material"),
                             ("containment_shell.liner.material", "liner_material"),
                             ("inner_ring.magnets", "inner_magnet"), ("outer_ring.magnets", "outer_magnet"),
                             ("inner_ring.sheath_material", "sheath_material")):
            try:
                getattr(self, table)
            except InputError as error:
                told = error.problem
                raise InputError(told.text, field=field, value=told.value, why=told.why, do=told.do) from None

    @rule
    def measured_loss_has_a_cause(self) -> None:
        """A shell that insulates has no loss to scale."""
        row = materials().get(self.containment_shell.material)
        insulates = row is not None and row.conduction == "insulating" and self.containment_shell.resistivity is None
        if insulates and self.measured is not None and self.measured.shell_loss:
            raise InputError(f"is not zero, and a shell of {self.containment_shell.material} does not conduct",
                             field="measured.shell_loss", do="give containment_shell.resistivity, or check material "
                             "and from what the loss was taken")

    @rule
    def circulation_is_whole(self) -> None:
        """Branches, stations and taps make one graph with exactly one annulus."""
        for fault in self.network.faults():
            raise InputError(fault, field="branches")
        named = {station.name for station in self.stations}
        for station in named - set(self.network.stations):
            raise InputError(f'station "{station}" is touched by no branch', field="stations",
                             do="remove it or name it in a branch")

    @cached_property
    def shell_material(self) -> ShellMaterial:
        """The row of the shell material."""
        return shell_material(self.containment_shell.material)

    @cached_property
    def sheath_material(self) -> ShellMaterial:
        """The row of the sheath's material."""
        return material(self.inner_ring.sheath_material)

    @cached_property
    def liner_material(self) -> ShellMaterial | None:
        """The row of the material of the second wall, when there is one."""
        liner = self.containment_shell.liner
        return shell_material(liner.material) if liner else None

    @cached_property
    def inner_magnet(self) -> Magnet:
        """The row of the inner magnets."""
        return magnet(self.inner_ring.magnets)

    @cached_property
    def outer_magnet(self) -> Magnet:
        """The row of the outer magnets."""
        return magnet(self.outer_ring.magnets)

    @property
    def casing_radius(self) -> float:
        """Largest radius that liquid inside can reach: shell or impeller [m]."""
        return max(self.containment_shell.bore, self.impeller.largest_diameter) / 2

    @property
    def rotor_gap(self) -> float:
        """Radial gap between sheath and shell [m]."""
        return (self.containment_shell.bore - self.inner_ring.sheath_diameter) / 2

    def title_of(self, station: str) -> str:
        """What reports call a station."""
        return next((entry.title for entry in self.stations if entry.name == station), station)

    @cached_property
    def network(self) -> Network:
        """The circulation as the solver takes it."""
        return Network(tuple(passage for _, passage in self._passages()), tuple(self._tap(tap) for tap in self.taps))

    @property
    def entries_of_branches(self) -> tuple[listed.PassageEntry, ...]:
        """The entry of the pump file that each branch of the network comes from."""
        return tuple(entry for entry, _ in self._passages())

    def _passages(self) -> list[tuple[listed.PassageEntry, Branch]]:
        return [(entry, passage) for number, entry in enumerate(self.branches, start=1)
                for passage in self._branches(entry, number)]

    def _journal(self, name: str, number: int) -> JournalBearing:
        return _named(name, self.journal_bearings, f"branches[{number}].bearing", "journal bearing")

    def _thrust(self, name: str, number: int) -> ThrustBearing:
        return _named(name, self.thrust_bearings, f"branches[{number}].bearing", "thrust bearing")

    def _branches(self, entry: listed.PassageEntry, number: int) -> tuple[Branch, ...]:
        place = (entry.name or entry.kind, entry.start, entry.end)
        holder, shaft = self.bush_holder, self.shaft
        match entry:
            case listed.FeedHoles():
                return (branch.hole(*place, count=holder.feed_count, diameter=holder.feed_diameter, loss=entry.loss,
                                    length=holder.feed_length, roughness=holder.roughness),)
            case listed.ReturnHoles():
                return (branch.hole(*place, count=holder.return_count, diameter=holder.return_diameter,
                                    length=holder.return_length, roughness=holder.roughness, loss=entry.loss),)
            case listed.ShaftHolesPassage():
                return (branch.rotating_hole(
                    *place, count=shaft.holes.count, diameter=shaft.holes.diameter, length=shaft.holes.length,
                    radius_from=shaft.diameter / 2, radius_to=0.0, roughness=shaft.roughness, loss=entry.loss,
                    incidence=entry.incidence, plenum_swirl=holder.swirl),)
            case listed.ShaftBore():
                return (branch.hole(*place, count=1, diameter=shaft.bore, length=shaft.bore_length, loss=entry.loss,
                                    roughness=shaft.roughness),)
            case listed.Hole():
                return (branch.hole(*place, count=entry.count, diameter=entry.diameter, length=entry.length,
                                    roughness=entry.roughness, loss=entry.loss),)
            case listed.Pipe():
                pipe = branch.hole(*place, count=1, diameter=entry.diameter, length=entry.length, loss=entry.loss,
                                   roughness=entry.roughness)
                if entry.cooler is None:
                    return (pipe,)
                cooler = entry.cooler
                return (branch.with_cooler(
                    pipe, conductance=cooler.area * cooler.coefficient,
                    coolant_capacity=cooler.coolant_flow * cooler.coolant_heat_capacity,
                    coolant_temperature=cooler.coolant_temperature),)
            case listed.AuxiliaryImpeller():
                channels = branch.hole(*place, count=entry.count, diameter=entry.diameter, length=entry.length,
                                       roughness=entry.roughness, loss=entry.loss)
                return (branch.with_auxiliary_impeller(channels, head_coefficient=entry.head_coefficient,
                                                       tip_radius=entry.tip_radius),)
            case listed.Cavity():
                outer, inner = max(entry.radius_from, entry.radius_to), min(entry.radius_from, entry.radius_to)
                return (branch.cavity(
                    *place, radius_from=entry.radius_from, radius_to=entry.radius_to, gap=entry.gap,
                    core_rotation=entry.core_rotation, disc_outer=outer, disc_inner=inner, loss=entry.loss),)
            case listed.Annulus():
                return (branch.shell_annulus(*place, rotor_radius=self.inner_ring.sheath_diameter / 2,
                                             gap=self.rotor_gap, length=self.inner_ring.wet_length),)
            case listed.JournalPassage():
                journal = self._journal(entry.bearing, number)
                grooves = journal.grooves
                return branch.journal_bearing(
                    entry.name or told("{bearing} bearing", bearing=journal.name), entry.start, entry.end,
                    radius=journal.diameter / 2,
                    clearance=journal.clearance, length=journal.length, groove_loss=entry.loss,
                    groove_count=grooves.count if grooves else 0, groove_width=grooves.width if grooves else 0.0,
                    groove_depth=grooves.depth if grooves else 0.0, roughness=holder.roughness)
            case listed.ThrustPassage():
                thrust = self._thrust(entry.bearing, number)
                return (branch.thrust_face(
                    entry.name or told("{bearing} thrust face", bearing=thrust.name), entry.start, entry.end,
                    inner_radius=thrust.inner_diameter / 2, outer_radius=thrust.outer_diameter / 2,
                    groove_count=thrust.grooves.count, groove_width=thrust.grooves.width,
                    groove_depth=thrust.grooves.depth, film=thrust.film, land_share=thrust.land_share,
                    roughness=holder.roughness, groove_loss=entry.loss, outward=entry.outward),)

    def _tap(self, tap: listed.TapEntry) -> Tap:
        match tap:
            case listed.DischargeTap():
                return Tap(tap.station, "casing", head_share=tap.head_share)
            case listed.ImpellerTap():
                return Tap(tap.station, "casing", head_share=tap.head_share, core_rotation=tap.core_rotation,
                           outer_radius=self.impeller.diameter / 2, inner_radius=tap.radius)
            case listed.SuctionTap():
                return Tap(tap.station, "suction")
            case listed.OutsideTap():
                return Tap(tap.station, "outside", pressure=tap.pressure, temperature=tap.temperature)


def _named(name: str, parts: Sequence[Named], field: str, what: str) -> Named:
    for part in parts:
        if part.name == name:
            return part
    raise UnknownName(what, name, [part.name for part in parts], field=field)
