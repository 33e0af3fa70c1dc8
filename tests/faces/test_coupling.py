"""``wetpath coupling``: page, record, drawing and exit codes."""

from __future__ import annotations

import json
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest
from matplotlib.text import Text

from wetpath.services import schemas
from wetpath.services.coupling import record_of_coupling, study_pump_file
from wetpath.services.coupling_record import CouplingStudyRecord
from wetpath.services.demo import pump_path

MEDIUM = str(pump_path("medium"))


def test_page_has_every_part_and_tells_the_answer_first(cli: Callable) -> None:
    ran = cli("coupling", MEDIUM, "--torque", "40 N m", "--liquid-temperature", "80 degC")
    assert ran.code == 0
    assert ran.out.startswith("● Carries 40")
    for heading in ("Demands", "Torque over load angle", "Pull-out and demagnetisation over temperature",
                    "Loss in the shell", "Out of step", "Heating out of step", "Start, solved in time",
                    "Shell as a pressure part", "Measured points", "Limits of the model",
                    "Warnings and limits crossed", "Cautions"):
        assert f"\n{heading}" in ran.out, heading
    assert max(map(len, ran.out.splitlines())) <= 100


def test_page_tells_why_the_rings_do_not_catch_again(cli: Callable) -> None:
    page = " ".join(cli("coupling", MEDIUM, "--torque", "40 N m").out.split())
    for words in ("its mean is zero: every pole that passes pulls as long forwards as backwards",
                  "They do not catch again: stop the driver, find the cause, start again from rest",
                  "Some practice holds that the loss rises: --slip-loss-factor puts a factor on it"):
        assert words in page, words


def test_factor_on_the_slip_loss_stands_beside_the_loss_of_the_model(cli: Callable) -> None:
    plain, raised = (CouplingStudyRecord.model_validate_json(cli("coupling", MEDIUM, "--json", *more).out).slip
                     for more in ((), ("--slip-loss-factor", "1.5")))
    assert raised.shell_loss_w == plain.shell_loss_w
    assert raised.shell_loss_with_factor_w == pytest.approx(1.5 * plain.shell_loss_w)
    page = cli("coupling", MEDIUM, "--slip-loss-factor", "1.5").out
    assert "× 1.5" in page
    assert max(map(len, page.splitlines())) <= 100
    assert "× 1.5" not in cli("coupling", MEDIUM).out


def test_limit_of_the_model_that_is_crossed_stands_as_doubtful(cli: Callable) -> None:
    page = cli("coupling", MEDIUM, "--torque", "20 N m", "--liquid-temperature", "220 degC").out
    row = next(line for line in page.splitlines() if line.startswith("hotter magnets"))
    assert "doubtful" in row
    assert "Magnets warmer than 200 degC" in page


def test_exit_code_is_one_when_a_demand_is_missed(cli: Callable) -> None:
    ran = cli("coupling", MEDIUM, "--torque", "120 N m")
    assert ran.code == 1
    assert "Does not carry 120" in ran.out
    assert "loses step" in ran.out


@pytest.mark.parametrize(("arguments", "words"), [
    (["--torque", "40"], '--torque = "40" has no unit'),
    (["--torque", "-3 N m"], "--torque"),
    (["--liquid-temperature", "40 bar"], "--liquid-temperature"),
    (["--slip-loss-factor", "20"], '--slip-loss-factor = "20" is too large; allowed: 0.5 to 10'),
    (["--plot", "drawing.pdf"], '--plot = "drawing.pdf" does not end in .svg or .png'),
    (["--plot", "/no/such/folder/drawing.svg"], "cannot be written")])
def test_bad_input_is_told_without_a_traceback(cli: Callable, arguments: list[str], words: str) -> None:
    ran = cli("coupling", MEDIUM, *arguments)
    assert ran.code == 2
    assert words in ran.err
    assert "Traceback" not in ran.err


def test_missing_file_is_told(cli: Callable, tmp_path: Path) -> None:
    ran = cli("coupling", str(tmp_path / "none.toml"))
    assert ran.code == 2
    assert "none.toml" in ran.err


@pytest.mark.parametrize("pump", ["medium", "medium_ceramic", "medium_light"])
def test_record_fulfils_its_kept_schema_and_reads_back(cli: Callable, pump: str) -> None:
    ran = cli("coupling", str(pump_path(pump)), "--json")
    schema = json.loads(schemas.schema_text("coupling"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(ran.out))
    record = CouplingStudyRecord.model_validate_json(ran.out)
    assert record == record_of_coupling(study_pump_file(str(pump_path(pump))))
    assert record.holds == (ran.code == 0)


def test_kept_schema_is_that_of_the_model(tmp_path: Path) -> None:
    written = {path.name: path for path in schemas.write_schemas(tmp_path)}
    kept = Path(schemas.__file__).parents[1] / "edge" / "schemas" / "coupling-1.schema.json"
    assert kept.read_text(encoding="utf-8") == written["coupling-1.schema.json"].read_text(encoding="utf-8")


def test_us_units(cli: Callable) -> None:
    page = cli("coupling", MEDIUM, "--units", "us").out
    for unit in ("lbf·ft", "°F", "hp", "psi"):
        assert unit in page
    for unit in ("N·m", "°C", " bar"):
        assert unit not in page


@pytest.mark.parametrize(("pump", "torque", "units"), [
    ("medium_ceramic", "70 N m", "us"), ("large", "300 N m", "metric"),
    pytest.param("medium", "40 N m", "metric", marks=pytest.mark.thorough),
    pytest.param("medium_light", "49 N m", "metric", marks=pytest.mark.thorough)])
def test_drawing_has_six_panels_and_no_clipped_text(cli: Callable, tmp_path: Path, pump: str, torque: str, units: str
                                                     ) -> None:
    target = tmp_path / "drawing.png"
    cli("coupling", str(pump_path(pump)), "--torque", torque, "--units", units, "--plot", str(target))
    head = target.read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    assert min(struct.unpack(">II", head[16:24])) > 1000
    vector = tmp_path / "drawing.svg"
    cli("coupling", str(pump_path(pump)), "--torque", torque, "--units", units, "--plot", str(vector))
    root = ElementTree.parse(vector).getroot()
    words = {"".join(text.itertext()).strip() for text in root.iter("{http://www.w3.org/2000/svg}text")}
    for title in ("Torque over load angle", "Pull-out over magnet temperature", "Loss in the shell over speed",
                  "Out of step: loss over slip"):
        assert title in words
    assert any(word.startswith("Out of step: mean torque; the magnets' ±") for word in words)
    assert any(word.startswith("Start, ") for word in words)


def test_a_plot_is_drawn_in_silence(tmp_path: Path) -> None:
    """In a process of its own: what libraries have to say of typefaces they say once."""
    ran = subprocess.run([sys.executable, "-m", "wetpath", "coupling", MEDIUM, "--plot", str(tmp_path / "plot.png")],
                         check=False, capture_output=True, text=True, timeout=120)
    assert ran.returncode == 0
    assert "font" not in ran.stderr


@pytest.mark.parametrize(("name", "torque", "temperature"), [
    pytest.param(*one, temperature, marks=() if number % 3 == place and number > 2 else pytest.mark.thorough)
    for number, one in enumerate([
        ("medium", "40 N m"), ("medium", "8 N m"), ("medium_light", "49 N m"), ("medium_ceramic", "70 N m"),
        ("large", "300 N m"), ("small", "6 N m"), ("small", "15 N m")])
    for place, temperature in enumerate(("20 degC", "150 degC", "250 degC"))])
def test_every_word_of_the_drawing_is_inside_it_and_covers_no_other(name: str, torque: str, temperature: str) -> None:
    """Extents of all texts as the renderer sets them, against the paper and against each other."""
    import matplotlib as mpl

    from wetpath.drawing.coupling_plot import coupling_figure
    from wetpath.drawing.figures import Figures
    from wetpath.drawing.plot_style import STYLE

    study = study_pump_file(str(pump_path(name)), torque=torque, liquid_temperature=temperature,
                            slip_loss_factor="1.5" if temperature == "150 degC" else None)
    for us in (False, True):
        with mpl.rc_context(STYLE):
            figure = coupling_figure(study, Figures.of(us))
            figure.canvas.draw()
        renderer = figure.canvas.get_renderer()     # type: ignore[attr-defined]
        width, height = figure.canvas.get_width_height()
        assert figure._suptitle is not None
        assert figure._suptitle.get_window_extent(renderer).x1 <= width
        for axes in figure.axes:
            shown = [label for axis in (axes.xaxis, axes.yaxis) for tick in axis.get_major_ticks()
                     for label in (tick.label1, tick.label2)
                     if label.get_visible() and min(axis.get_view_interval()) <= tick.get_loc() <= max(
                         axis.get_view_interval())]
            texts = [*axes.texts, axes.title, axes._left_title, axes.xaxis.label, axes.yaxis.label, *shown]
            boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in texts if text.get_text()]
            for words, box in boxes:
                assert min(box.x0, box.y0) >= 0, words
                assert box.x1 <= width, words
                assert box.y1 <= height, words
            for number, (words, box) in enumerate(boxes[:len(axes.texts)]):
                for others, other in boxes[number + 1:]:
                    assert not box.overlaps(other), f"{words!r} covers {others!r}"
