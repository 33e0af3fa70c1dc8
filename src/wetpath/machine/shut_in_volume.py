"""Liquid and metal between the closed valves of a pump, given or estimated from its geometry."""

from math import pi

from wetpath.machine.pump_file import PumpFile

#: Volute over impeller, diameter and width, and lengths of the nozzles over their bores. Common practice, for
#: end-suction pumps with one impeller.
VOLUTE_DIAMETER, VOLUTE_WIDTH, SUCTION_LENGTH = 1.3, 2.5, 1.5
#: Metal that warms with the liquid, for each volume of it [kg/m3]; little, so that the heating is not too slow.
METAL_OVER_LIQUID = 4000.0


def rear_liquid_volume(pump: PumpFile) -> float:
    """Liquid around and behind the inner ring, inside the shell [m3]."""
    shell, ring = pump.containment_shell, pump.inner_ring
    return pi / 4 * ((shell.bore**2 - ring.sheath_diameter**2) * ring.wet_length + shell.bore**2 * ring.rear_gap)


def liquid_volume(pump: PumpFile) -> float:
    """Liquid held between the flanges [m3]: the given one, or that of volute, nozzles and shell."""
    casing, impeller = pump.casing, pump.impeller
    if casing.liquid_volume is not None:
        return casing.liquid_volume
    volute = (VOLUTE_DIAMETER * impeller.largest_diameter) ** 2 * VOLUTE_WIDTH * impeller.outlet_width
    nozzles = (SUCTION_LENGTH * casing.suction_bore**3 + impeller.largest_diameter * casing.discharge_bore**2)
    return pi / 4 * (volute + nozzles) + rear_liquid_volume(pump)


def metal_mass(pump: PumpFile) -> float:
    """Metal that warms with that liquid [kg]: the given mass, or a share of the volume."""
    given = pump.casing.metal_mass
    return given if given is not None else METAL_OVER_LIQUID * liquid_volume(pump)
