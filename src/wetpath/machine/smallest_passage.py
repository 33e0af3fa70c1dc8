"""The narrowest passages of the circulation that a particle has to pass."""

from wetpath.machine import branches as listed
from wetpath.machine.bearings import Grooves
from wetpath.machine.pump_file import PumpFile
from wetpath.words import told


def passages(pump: PumpFile) -> tuple[tuple[str, float], ...]:
    """Name and narrowest width [m] of every passage but the films of the bearings, as the pump file lists them."""
    holder, shaft = pump.bush_holder, pump.shaft
    found: list[tuple[str, float]] = []
    for entry in pump.branches:
        name = entry.name or entry.kind
        match entry:
            case listed.FeedHoles():
                found.append((name, holder.feed_diameter))
            case listed.ReturnHoles():
                found.append((name, holder.return_diameter))
            case listed.ShaftHolesPassage():
                found.append((name, shaft.holes.diameter))
            case listed.ShaftBore():
                found.append((name, shaft.bore))
            case listed.Hole() | listed.Pipe() | listed.AuxiliaryImpeller():
                found.append((name, entry.diameter))
            case listed.Cavity():
                found.append((name, entry.gap))
            case listed.Annulus():
                found.append(("gap between inner ring and shell", pump.rotor_gap))
            case listed.JournalPassage():
                bearing = next(one for one in pump.journal_bearings if one.name == entry.bearing)
                if bearing.grooves is not None:
                    found.append((f"grooves of the {bearing.name} bearing", _narrow(bearing.grooves)))
            case listed.ThrustPassage():
                thrust = next(one for one in pump.thrust_bearings if one.name == entry.bearing)
                found.append((f"grooves of the {thrust.name} thrust face", _narrow(thrust.grooves)))
    return tuple(found)


def smallest_passage(pump: PumpFile) -> tuple[str, float]:
    """Name and width [m] of the narrowest of them."""
    return min(passages(pump), key=lambda one: one[1])


def tightest_bearing(pump: PumpFile) -> tuple[str, float]:
    """Name and gap [m] of the tightest journal bearing, its whole clearance on one side."""
    bearing = min(pump.journal_bearings, key=lambda one: one.clearance)
    return told("{bearing} bearing", bearing=bearing.name), 2 * bearing.clearance


def _narrow(grooves: Grooves) -> float:
    return min(grooves.width, grooves.depth)
