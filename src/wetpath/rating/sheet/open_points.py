"""What the data sheet leaves open: tests to be made, deviations, and what purchaser and maker still have to say."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import express
from wetpath.rating.machine_arrays import remanences, response_for
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import Cell, Deviation, OpenPoint, WorksTest, computed, known
from wetpath.words import told


def works_tests(rating: Rating) -> tuple[WorksTest, ...]:
    """Tests to be made before delivery."""
    ratio = rating.practice["hydrostatic_test_ratio"]
    atmosphere = rating.situation.demands.atmosphere
    casing = atmosphere + ratio.value * (rating.pump.casing.pressure_rating - atmosphere)
    _, cold = response_for(rating.pump).pull_out(*remanences(rating.pump))
    grade = rating.enquiry.acceptance_grade
    shaking, wider = rating.practice["vibration_preferred"], rating.practice["vibration_allowable_factor"]
    wanted = told("grade {grade}", grade=grade) if grade else "a grade to be agreed"
    return (
        _test("casing_pressure", "Hydrostatic test of the casing", ratio.meaning, casing, q.PRESSURE, ratio.source,
              ratio.status),
        _test("shell_pressure", "Hydrostatic test of the containment shell", ratio.meaning,
              atmosphere + rating.situation.shell.test_pressure, q.PRESSURE, ratio.source, ratio.status),
        WorksTest(key="performance", title="Performance on water",
                  demand=told("head, power and efficiency at the guarantee point, ISO 9906:2012, {wanted}",
                              wanted=wanted)),
        WorksTest(key="npsh", title="NPSH3 on water", demand=told("at the guaranteed flow, ISO 9906:2012, {wanted}",
                                                                  wanted=wanted)),
        _test("pull_out", "Static pull-out torque of the magnetic drive",
              "measured cold; not below what is computed here, which the coupling margin rests on", cold, q.TORQUE,
              "common-practice", "common practice"),
        WorksTest(key="vibration", title="Vibration",
                  demand=told("overall velocity at the bearing housing, RMS, at most {preferred} in the preferred "
                              "region, {allowed} at other flows allowed", preferred=_speed(shaking.value),
                              allowed=_speed(shaking.value * wider.value))),
        WorksTest(key="circulation", title="Circulation",
                  demand="flow or temperature rise of the circulation measured on water at one flow at least, and "
                         "compared with the profile computed for it"),
        WorksTest(key="clearances", title="Clearances as built",
                  demand="plain bearings, wear rings, gap between inner ring and shell, holes: recorded"))


def _speed(value: float) -> str:
    return express(value, q.VELOCITY, "mm/s")


def _test(key: str, title: str, demand: str, value: float, kind: Kind, source: str, status: str) -> WorksTest:
    cell = computed(value)
    return WorksTest(key=key, title=title, demand=demand, quantity=kind.name, unit=kind.si.name,
                     value=Cell(value=cell.value, basis="computed", source=source, status=status, note=cell.note))


def deviations(rating: Rating) -> tuple[Deviation, ...]:
    """Every check that does not hold, at its worst case."""
    found = []
    for check in rating.checks:
        if not check.holds.all():
            case = check.worst_case
            found.append(Deviation(
                check=check.name, title=check.title, case=rating.case_names[case], where=check.where[case],
                quantity=check.kind.name, unit=check.kind.si.name, actual=known(check.actual[case]),
                demanded=known(check.limit[case]), source=check.source, status=check.status, meaning=check.meaning,
                remedy=check.remedy))
    return tuple(found)


def open_points(rating: Rating) -> tuple[OpenPoint, ...]:
    """What still has to be said, the purchaser's points first."""
    return (*_of_the_purchaser(rating), *_of_the_maker(rating))


def _of_the_purchaser(rating: Rating) -> Iterator[OpenPoint]:
    enquiry, limits = rating.enquiry, rating.liquid.limits

    def point(key: str, what: str, until_then: str) -> OpenPoint:
        return OpenPoint(party="purchaser", key=key, what=what, until_then=until_then)

    if not enquiry.acceptance_grade:
        yield point("grade", "acceptance grade of the works test", "no tolerance stands beside the guarantee values")
    if all(case.role != "rated" for case in enquiry.cases):
        yield point("rated", "which operating case is the rated one",
                    "the first normal case, or the first of all, stands for it")
    if all(case.head is None for case in enquiry.cases):
        yield point("head", "the head asked", "the head of the pump is not judged")
    if all(case.role != "minimum flow" for case in enquiry.cases):
        yield point("minimum_flow", "the least flow at which the plant will run the pump",
                    "the case of least flow stands for it")
    if not enquiry.other_liquids:
        yield point("other_liquids", "other liquids the pump will see: cleaning, flush, water",
                    "it is rated for one liquid alone")
    yield point("highest_suction_pressure", "highest pressure that relief devices allow at the suction",
                "the highest of the cases counts")
    yield point("harm", "whether the liquid is toxic or attacks the wetted materials at the temperatures inside",
                "neither is considered")
    if not enquiry.site.zone:
        yield point("zone", "zone and gas group of the area, or that there is none", "no area is considered")
    if enquiry.solids is None:
        yield point("solids", "solids in the liquid, or that there are none", "the liquid is taken as clean")
    if not enquiry.protection.trips:
        yield point("trips", "trips that stop the pump", "no malfunction is taken as guarded")
    if not rating.liquid.has_vapour_pressure:
        yield point("vapour_pressure", "vapour pressure of the liquid over temperature", "no margin to boiling is told")
    if limits.solidification is None and limits.crystallisation is None:
        yield point("solidification", "temperature at which the liquid freezes or crystallises", "not checked")
    if limits.decomposition is None and limits.polymerisation is None:
        yield point("onset", "temperature at which the liquid decomposes or polymerises, or that it does not",
                    "not checked")
    if limits.autoignition is None and enquiry.site.temperature_class != "none":
        yield point("autoignition", "autoignition temperature of the liquid", "the temperature class alone is checked")


def _of_the_maker(rating: Rating) -> Iterator[OpenPoint]:
    pump, situation = rating.pump, rating.situation

    def point(key: str, what: str, until_then: str) -> OpenPoint:
        return OpenPoint(party="maker", key=key, what=what, until_then=until_then)

    yield point("profile", "measured flow or temperatures of the circulation",
                "the pressure-temperature profile is computed from the drawing alone")
    if pump.containment_shell.pressure_rating is None:
        yield point("shell_rating", "maximum allowable working pressure of the containment shell",
                    "the code formula for its wall")
    for field, flow in (("lowest_flow", "least continuous flow"), ("highest_flow", "largest flow")):
        if getattr(pump.impeller, field) is None:
            yield point(field, told("{flow}, and why", flow=flow), "computed limits alone")
        elif not getattr(pump.impeller, f"{field}_reason"):
            yield point(f"{field}_reason", told("why the {flow} is what the pump file states",
                                                   flow=flow),
                        "it counts without a reason, also where every computed limit allows more")
    for which in ("inner", "outer"):
        if getattr(pump, f"{which}_ring").remanence is None:
            yield point(f"remanence_{which}",
                        told("remanence of the {which} magnets by certificate, or measured pull-out torque",
                             which=which), "the table of magnets")
    if pump.inner_ring.inertia is None or pump.outer_ring.inertia is None:
        yield point("inertia", "moments of inertia of both sides of the coupling", "the start cannot be judged")
    if pump.coupling_housing.friction_power == 0:
        yield point("friction_power", "windage and rolling-bearing friction of the dry side", "taken as none")
    if not situation.thrust.stated:
        yield point("thrust", "what relieves the axial thrust: balance holes, back vanes, or nothing",
                    "axial thrust is not computed")
    if any(bearing.allowable_load is None for bearing in pump.thrust_bearings):
        yield point("thrust_load", "axial load allowed on the thrust faces", "land area times a limit of the practice")
    if pump.external_bearings is None:
        yield point("external_bearings", "rolling bearings of the drive shaft with their ratings",
                    "their life is not computed")
    if pump.driver.efficiency is None:
        until = "not known" if np.isnan(situation.driver.efficiency) else "the least of its efficiency class"
        yield point("motor_efficiency", "efficiency of the motor at rated power", until)
    if pump.casing.liquid_volume is None:
        yield point("liquid_volume", "liquid held between the closed valves at the flanges",
                    "estimated from the geometry")
