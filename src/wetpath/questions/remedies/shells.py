"""Remedies at the containment shell: another alloy, another wall, a shell that does not conduct."""

from __future__ import annotations

from math import ceil, isnan

from wetpath.edge.quantities import LENGTH
from wetpath.edge.tables import materials
from wetpath.questions.remedies.remedy import Change, Data, NotOffered, Practicality, Remedy, in_turn, setting
from wetpath.rating.rate import Rating
from wetpath.words import told

#: Hoop stress for which the wall of an insulating shell is chosen [Pa], and the least wall [m]. Common practice, no
#: source; the maker of the shell decides.
DESIGN_STRESS = {"zirconia": 40e6, "peek": 15e6, "glass-fibre laminate": 40e6}
LEAST_INSULATING_WALL = 2e-3
#: Walls of insulating shells come in steps of this [m].
WALL_STEP = 5e-4
#: Changes of the wall of a metal shell that are tried [m].
WALL_CHANGES = (-2e-4, -1e-4, 2e-4, 4e-4)
#: Air gap that has to be left between shell and outer magnets [m]. Common practice, no source.
LEAST_AIR_GAP = 5e-4
BY_FORMULA = "judged by the code formulas, no maker's rating"
CONFIRM = "wall for the rated pressure by {stress:.0f} MPa hoop stress; the maker must confirm shell and rating"


def shells(rating: Rating) -> list[Remedy | NotOffered]:
    """All remedies at the shell."""
    return [*_alloys(rating), *_walls(rating), *_insulating(rating)]


def _without_measurement(data: Data) -> None:
    data["measured"] = None


def _alloys(rating: Rating) -> list[Remedy | NotOffered]:
    shell, now = rating.pump.containment_shell, rating.pump.shell_material
    present = shell.resistivity if shell.resistivity is not None else now.resistivity
    if now.conduction != "metal":
        return [NotOffered("shell of an alloy of higher resistivity", "the shell is not of metal")]
    better = [row for row in materials().values()
              if row.conduction == "metal" and not row.ferromagnetic and row.resistivity > 1.05 * present]
    if not better:
        return [NotOffered("shell of an alloy of higher resistivity", "no alloy of the tables has one")]
    return [Remedy("shell alloy", told(
        "shell of {alloy} in place of {now}, same wall", alloy=row.name, now=now.name), (),
                   Practicality.SPARE_PART, told("strength {judged}; corrosion to be checked", judged=BY_FORMULA),
                   in_turn(setting("containment_shell",
                                   {"material": row.name, "resistivity": None, "pressure_rating": None}),
                           _without_measurement))
            for row in sorted(better, key=lambda row: row.resistivity)]


def _walls(rating: Rating) -> list[Remedy | NotOffered]:
    shell, outer = rating.pump.containment_shell, rating.pump.outer_ring
    if rating.pump.shell_material.conduction != "metal":
        return []
    found: list[Remedy | NotOffered] = []
    for step in WALL_CHANGES:
        wall = shell.wall + step
        thinner = step < 0
        text = told("shell wall {wall}, thinner than {now}" if thinner else "shell wall {wall}, thicker than {now}",
                    wall="{0}", now="{1}")
        amounts = ((wall, LENGTH), (shell.wall, LENGTH))
        gap = outer.inner_diameter / 2 - (shell.bore / 2 + shell.thickness + step)
        if wall <= shell.corrosion_allowance:
            found.append(NotOffered(text, "nothing would be left after corrosion", amounts))
        elif gap < LEAST_AIR_GAP:
            found.append(NotOffered(text, f"the air gap to the outer magnets would be {1e3 * gap:.2f} mm; "
                                    f"{1e3 * LEAST_AIR_GAP:.1f} mm are needed", amounts))
        else:
            values = {"wall": wall} if not thinner else {"wall": wall, "pressure_rating": None}
            found.append(Remedy(
                "thinner wall" if thinner else "thicker wall", text, amounts, Practicality.SPARE_PART,
                told("strength {judged}", judged=BY_FORMULA) if thinner else "",
                in_turn(setting("containment_shell", values), _without_measurement)))
    return found


def _insulating(rating: Rating) -> list[Remedy | NotOffered]:
    if rating.pump.shell_material.conduction == "insulating":
        return [NotOffered("shell that does not conduct", "the shell is one already")]
    return [_insulating_of(rating, name, stress) for name, stress in DESIGN_STRESS.items()]


def _insulating_of(rating: Rating, name: str, stress: float) -> Remedy | NotOffered:
    shell, outer, casing = rating.pump.containment_shell, rating.pump.outer_ring, rating.pump.casing
    atmosphere = rating.situation.demands.atmosphere
    rated = casing.pressure_rating if shell.pressure_rating is None else shell.pressure_rating
    needed = (rated - atmosphere) * shell.bore / (2 * stress)
    wall = max(ceil(round(needed / WALL_STEP, 6)) * WALL_STEP, LEAST_INSULATING_WALL)
    text, amounts = told("{material} shell, wall {wall}", material=name, wall="{0}"), ((wall, LENGTH),)
    highest = materials()[name].highest_temperature
    wall_temperature = float(rating.situation.shell.temperature.max())
    if wall > 0.05 * shell.bore:
        return NotOffered(text, "the wall it needs is thicker than 5 % of the bore", amounts)
    if not isnan(highest) and min(wall_temperature, float(rating.inputs.temperature.max())) > highest:
        return NotOffered(text, "the liquid is hotter than it stands", amounts)
    extra = wall - shell.thickness
    changes: list[Change] = [_without_measurement, setting("containment_shell", {
        "material": name, "wall": wall, "liner": None, "end_wall": None, "resistivity": None,
        "corrosion_allowance": 0.0, "mill_tolerance": 0.0, "weld_factor": 1.0, "pressure_rating": rated})]
    cost = told(CONFIRM, stress=stress / 1e6)
    gap = outer.inner_diameter / 2 - (shell.bore / 2 + wall)
    if gap >= LEAST_AIR_GAP:
        return Remedy(f"{name} shell", text, amounts, Practicality.SPARE_PART, cost, in_turn(*changes))
    changes.append(setting("outer_ring", {"inner_diameter": outer.inner_diameter + 2 * extra,
                                          "outer_diameter": outer.outer_diameter + 2 * extra}))
    return Remedy(f"{name} shell", told(
        "{shell}, and an outer ring {wider} wider", shell=text, wider="{1}"), (*amounts, (2 * extra, LENGTH)),
                  Practicality.OTHER_MACHINE, cost, in_turn(*changes))
