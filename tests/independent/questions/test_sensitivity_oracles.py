"""Slopes against sixth-order differences over solves of their own, changes against pumps read from changed files."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.circulation import annulus_cells, solve
from wetpath.edge.files import load_document
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.questions.sensitivity.sample import sample_of
from wetpath.questions.sensitivity.worth import governing_case, worth_of
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.rate import Rating
from wetpath.services.rating import load_service

DEMO = Path(wetpath.__file__).parent / "data" / "demo"
ENQUIRY = DEMO / "enquiries" / "butane_reflux.toml"
PUMP = DEMO / "pumps" / "medium_steel.toml"


@cache
def rating() -> Rating:
    return load_service(ENQUIRY).rate()


@cache
def worth():
    return worth_of(rating())


def effect(name: str):
    return next(one for one in worth().effects if one.variable.name == name)


def quantities(rated: Rating, case: int, place=None) -> np.ndarray:
    """The six quantities of a case out of a rating, at the worst places or at one."""
    situation = rated.situation
    margins = (situation.pressure_margin[case], situation.temperature_margin[case], situation.wall_margin[case])
    at = (place.pressure, place.temperature, place.cell) if place else [int(np.argmin(one)) for one in margins]
    return np.array([*(one[index] for one, index in zip(margins, at, strict=True)),
                     situation.npsh_available[case] - rated.point.npsh_required[case],
                     rated.losses.coupling_ratio[case], rated.losses.shaft[case]])


def solved(column: str, changes: np.ndarray) -> np.ndarray:
    """Vapour margins and pull-out over changes of one condition, through the model that the rating uses."""
    rated, case, place = rating(), worth().case, worth().place
    model = rated.situation.models[0]
    own = rated.inputs.chosen(np.full(changes.size, case))
    states = model.solve(own.changed(**{column: getattr(own, column) + changes})).solution.states
    wall = states.cells[:, annulus_cells.CELL_BOILING] - states.cells[:, annulus_cells.CELL_WALL]
    return np.column_stack((
        (states.pressure - states.saturation)[:, place.pressure],
        (states.boiling - states.temperature)[:, place.temperature], wall[:, place.cell],
        states.scalars[:, solve.PULL_OUT] / states.scalars[:, solve.TORQUE]))


def sixth_order(values: np.ndarray, step: float) -> np.ndarray:
    """Values at -3 h, -2 h, -h, h, 2 h, 3 h."""
    return (45 * (values[3] - values[2]) - 9 * (values[4] - values[1]) + (values[5] - values[0])) / (60 * step)


STEPS = np.array([-3.0, -2.0, -1.0, 1.0, 2.0, 3.0])


@pytest.mark.published("numerical-differentiation-order-6", status="derived")
@pytest.mark.parametrize(("name", "column", "steps"), [
    ("flow", "flow", (2e-5, 1e-5)), ("temperature", "temperature", (0.06, 0.03)),
    ("suction_pressure", "pressure", (4e3, 2e3)), ("speed", "speed", (0.4, 0.2)),
    ("air_temperature", "air", (1.0, 0.5))])
def test_slopes_of_conditions(against, name, column, steps):
    # two step lengths agree to 3e-7 of the slope, so that the reference is known well enough for 1e-6
    coarse, fine = (sixth_order(solved(column, step * STEPS), step) for step in steps)
    assert np.allclose(coarse, fine, rtol=3e-7)
    ours = effect(name).slope[[0, 1, 2, 4]]
    for number, quantity in enumerate(("vapour margin", "margin to boiling", "wall margin", "pull-out ratio")):
        against("numerical-differentiation-order-6", "computed", f"slope of {quantity} with {name}", ours[number],
                fine[number], rel=1e-6, unit="SI")


def changed_file(folder: Path, *changes: tuple[str, str, str]) -> Path:
    """The demo pump with values replaced: table, key, new value; every place where the key stands in such a table."""
    text = PUMP.read_text(encoding="utf-8")
    for table, key, value in changes:
        parts = re.split(r"(?m)^(?=\[)", text)
        found = 0
        for number, part in enumerate(parts):
            if part.startswith((f"[{table}]", f"[[{table}]]")):
                parts[number], count = re.subn(rf"(?m)(\b{key} = )(\"[^\"]*\"|[\d.]+)", rf"\g<1>{value}", part)
                found += count
        if not found:
            place = next(number for number, part in enumerate(parts) if part.startswith(f"[{table}]"))
            parts[place] = parts[place].rstrip("\n") + f"\n{key} = {value}\n\n"
        text = "".join(parts)
    target = folder / "pump.toml"
    target.write_text(text, encoding="utf-8")
    return target


def from_file(folder: Path, *changes: tuple[str, str, str], place=None) -> np.ndarray:
    return quantities(load_service(ENQUIRY, pump=changed_file(folder, *changes)).rate(), worth().case, place)


def given(table: str, key: str) -> float:
    part = next(part for part in re.split(r"(?m)^(?=\[)", PUMP.read_text(encoding="utf-8"))
                if part.startswith((f"[{table}]", f"[[{table}]]")))
    return float(re.search(rf"\b{key} = \"?([\d.]+)", part)[1])


@pytest.mark.published("numerical-differentiation-order-6", status="derived")
def test_slope_of_the_feed_hole_from_pump_files(against, tmp_path):
    diameter = given("bush_holder", "feed_diameter")
    step = 0.004 * diameter
    values = np.array([from_file(tmp_path, ("bush_holder", "feed_diameter", f'"{float(diameter + move * step)!r} mm"'),
                                 place=worth().place) for move in STEPS])
    expected = sixth_order(values, 1e-3 * step)
    ours = effect("feed_hole_diameter").slope
    for number in (0, 1, 2, 4):
        against("numerical-differentiation-order-6", "computed",
                f"slope of {QUANTITIES[number].title} with the feed hole", ours[number], expected[number], rel=1e-6,
                unit="SI")


@pytest.mark.parametrize(("name", "table", "key", "unit", "scale"), [
    ("feed_hole_diameter", "bush_holder", "feed_diameter", "mm", 1e-3),
    ("return_hole_diameter", "bush_holder", "return_diameter", "mm", 1e-3),
    ("shaft_bore_diameter", "shaft", "bore", "mm", 1e-3),
    ("shaft_hole_diameter", "shaft", "diameter", "mm", 1e-3),
    ("shell_wall", "containment_shell", "wall", "mm", 1e-3),
    ("bearing_clearance", "journal_bearings", "clearance", "um", 1e-6),
    ("annulus_gap", "inner_ring", "sheath_diameter", "mm", -0.5e-3),
])
def test_change_is_that_of_a_changed_pump_file(tmp_path, name, table, key, unit, scale):
    """The worth of a change is what a rating of the pump so changed says; to 1e-6 of the change itself.

    A thicker wall follows a parabola through three solved walls, so that it is known to a few 1e-5.
    """
    one = effect(name)
    if name == "shaft_hole_diameter":
        value = given_hole(PUMP) + one.variable.worth / scale
        target = changed_hole(tmp_path, value)
        rated = quantities(load_service(ENQUIRY, pump=target).rate(), worth().case)
    else:
        value = given(table, key) + one.variable.worth / scale
        rated = from_file(tmp_path, (table, key, f'"{value!r} {unit}"'))
    expected = rated - quantities(rating(), worth().case)
    tolerance = 2e-4 if name == "shell_wall" else 1e-6
    noise = np.abs(worth().now) * 1e-12
    assert (np.abs(one.change - expected) <= tolerance * np.abs(expected) + noise).all()
    assert np.abs(expected[[0, 1, 2]]).min() > 0


@pytest.mark.parametrize(("name", "table", "key", "unit", "scale"), [
    ("feed_hole_diameter", "bush_holder", "feed_diameter", "mm", 1e-3),
    ("return_hole_diameter", "bush_holder", "return_diameter", "mm", 1e-3),
    ("shaft_bore_diameter", "shaft", "bore", "mm", 1e-3),
    ("shaft_hole_diameter", "", "", "mm", 1e-3),
    ("bearing_clearance", "journal_bearings", "clearance", "um", 1e-6),
    ("annulus_gap", "inner_ring", "sheath_diameter", "mm", -0.5e-3),
])
def test_rows_are_those_of_a_changed_pump_file(tmp_path, name, table, key, unit, scale):
    """Every column of the solve's arrays, also those that hardly count in this case."""
    one = effect(name).variable
    if table:
        target = changed_file(tmp_path, (table, key, f'"{given(table, key) + one.worth / scale!r} {unit}"'))
    else:
        target = changed_hole(tmp_path, given_hole(PUMP) + one.worth / scale)
    model = rating().situation.models[0]
    sample = sample_of(model.machine, rating().inputs.chosen(np.array([0])), 1)
    one.move(sample, np.array([one.worth]))
    expected = machine_arrays([load_document(target, PumpFile)])
    for ours, theirs in zip(sample.machine, expected, strict=True):
        assert ours == pytest.approx(theirs, rel=1e-9, nan_ok=True)
    assert not np.array_equal(sample.machine.rows, model.machine.rows)


def given_hole(path: Path) -> float:
    found = re.search(r"(?m)^holes = \{ count = \d+, diameter = \"([\d.]+) mm\"", path.read_text(encoding="utf-8"))
    return float(found[1])


def changed_hole(folder: Path, diameter: float) -> Path:
    text, count = re.subn(r"(?m)^(holes = \{ count = \d+, diameter = \")[\d.]+( mm\", length)",
                          rf"\g<1>{diameter!r}\g<2>", PUMP.read_text(encoding="utf-8"))
    assert count == 1
    target = folder / "pump.toml"
    target.write_text(text, encoding="utf-8")
    return target


def test_magnets_and_wall_from_a_changed_pump_file(tmp_path):
    """Remanence and resistivity given 1 % higher do what the factors do; the wall's reaction is left out of them."""
    pump = rating().pump
    magnets = [(ring, "remanence", f'"{1.01 * grade.remanence!r} T"') for ring, grade in (
        ("inner_ring", pump.inner_magnet), ("outer_ring", pump.outer_magnet))]
    now = quantities(rating(), worth().case)
    expected = from_file(tmp_path, *magnets) - now
    assert effect("remanence_factor").change == pytest.approx(expected, rel=1e-6, abs=1e-9)
    resistivity = 1.01 * pump.shell_material.resistivity
    expected = from_file(tmp_path, ("containment_shell", "resistivity", f'"{1e6 * resistivity!r} uohm m"')) - now
    # the file's way weakens the field by the reaction of the wall too, a share of 1e-3 of the loss
    assert effect("resistivity_factor").change == pytest.approx(expected, rel=5e-3, abs=1e-9)


def test_curves_from_a_changed_pump_file(tmp_path):
    text = PUMP.read_text(encoding="utf-8")
    for key, name in (("head", "head_factor"), ("npsh", "npsh_factor")):
        values = re.search(rf"(?m)^{key} = \"([\d. ]+) m\"", text)[1]
        scaled = " ".join(repr(1.01 * float(value)) for value in values.split())
        target = tmp_path / f"{key}.toml"
        target.write_text(text.replace(f'\n{key} = "{values} m"', f'\n{key} = "{scaled} m"'), encoding="utf-8")
        expected = quantities(load_service(ENQUIRY, pump=target).rate(), worth().case) - quantities(
            rating(), worth().case)
        # the correction for viscosity sees the changed curve too; it is not in force here
        assert effect(name).change == pytest.approx(expected, rel=1e-6, abs=1e-7)


def test_now_is_the_rating():
    case = governing_case(rating())
    assert case == worth().case
    assert worth().now == pytest.approx(quantities(rating(), case), rel=1e-12)
