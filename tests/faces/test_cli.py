"""The command line: exit codes, what stands on the page, plain output where nobody looks at a terminal."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import wetpath as wp
from wetpath.faces.cli import failures, rating_page
from wetpath.services.demo import demo_enquiries, enquiry_path, pump_path

MESSAGES = Path(__file__).parents[1] / "messages" / "cli"
RUNS = [str(MESSAGES / "enquiry.toml")]
PRESSURE_WITHOUT_A = re.compile(r"\d[\u2009 ](bar|psi)(?! a)")


def sections(page: str) -> dict[str, str]:
    """Parts of a page by the first words of their headings."""
    found, name = {"": ""}, ""
    for before, line in zip(["", *page.splitlines()], page.splitlines(), strict=False):
        if not before and line and not line.startswith(" "):
            name = line.split(",")[0]
            found[name] = ""
        found[name] += line + "\n"
    return found


def test_exit_code_tells_whether_every_check_holds(cli: Callable) -> None:
    seen = set()
    for name in demo_enquiries():
        rating = wp.rate(enquiry_path(name))
        ran = cli("demo", name)
        assert ran.code == (0 if rating.holds else 1), name
        assert rating.verdict.headline in ran.out.splitlines()[0]
        seen.add(ran.code)
    assert seen == {0, 1}, "the demo has enquiries of both kinds"


def test_page_opens_with_the_verdict(cli: Callable) -> None:
    rating = wp.rate(RUNS[0])
    lines = cli("rate", *RUNS).out.splitlines()
    assert lines[0].endswith(rating.verdict.headline)
    told = " ".join(lines[1:4]).replace("  ", " ")
    assert rating.verdict.sentence[1:40] in told
    assert rating.verdict.case_name in told


def test_page_has_every_part(cli: Callable) -> None:
    parts = sections(cli("demo").out)
    for part in ("What is missing", "Operating points", "Losses from liquid to motor shaft", "Magnetic coupling",
                 "Circulation flows", 'Trace of case "B hot day"', "Checks", "Warnings and limits crossed", "Cautions",
                 "Sources of the limits", "Sources of data and formulas"):
        assert part in parts, part


def test_losses_add_up_as_printed(cli: Callable) -> None:
    rows = sections(cli("rate", *RUNS).out)["Losses from liquid to motor shaft"].splitlines()
    value = {row[:38].strip(): float(row.split()[-1]) for row in rows[2:] if row}
    parts = [number for name, number in value.items() if name.startswith(("+", "to the liquid"))]
    assert len(parts) == 8
    assert value["= at the motor shaft"] == pytest.approx(sum(parts), abs=4)      # each is rounded to 1 W


def test_trace_is_of_the_case_asked_for(cli: Callable) -> None:
    assert 'Trace of case "normal"' in cli("rate", *RUNS, "--case", "normal").out
    assert 'Trace of case "hot day"' in cli("rate", *RUNS, "--case", "hot").out
    both = cli("rate", *RUNS, "--all-cases").out
    assert 'Trace of case "normal"' in both
    assert 'Trace of case "hot day"' in both


def test_trace_shows_the_rating(cli: Callable) -> None:
    rating = wp.rate(RUNS[0])
    trace = sections(cli("rate", *RUNS, "--case", "normal").out)['Trace of case "normal"']
    for state in rating.trace("normal"):
        row = next(line for line in trace.splitlines() if line.startswith(f"{state.name}  {state.title}"))
        numbers = row.removeprefix(f"{state.name}  {state.title}").split()
        assert numbers[:4] == [f"{state.pressure / 1e5:.2f}", f"{state.temperature - 273.15:.1f}",
                               f"{state.vapour_pressure / 1e5:.2f}", f"{state.pressure_margin / 1e5:.2f}"]


def test_us_units(cli: Callable) -> None:
    page = cli("rate", *RUNS, "--units", "us").out
    assert "gpm" in page
    assert "°F" in page
    assert " bar" not in page.split("Sources of the limits")[0]
    rating = wp.rate(RUNS[0])
    flow = sections(page)["Operating points"].splitlines()[2].split()
    assert float(flow[-1]) == pytest.approx(rating.inputs.flow[-1] * 60 / (231 * 0.0254**3), rel=3e-3)  # 231 in³


def test_absolute_pressures_say_so(cli: Callable) -> None:
    """Every pressure level is "bar a"; without the a stand differences only: margins, and what is missing."""
    page = cli("demo").out
    for line in page.splitlines():
        for found in PRESSURE_WITHOUT_A.finditer(line):
            number = line[:found.start() + 1].split()[-1]
            assert "margin" in line or number.startswith(("+", "−")) or "short by" in line, line
    assert re.findall(r"^suction pressure, (.*?)  ", page, re.MULTILINE) == ["bar a"]
    heads = [line for line in page.splitlines() if "bar a" in line and "°C" in line and not re.search(r"\d", line)]
    assert [line.split() for line in heads] == [["station", "bar", "a", "°C", "bar", "a", "bar", "m", "K"]]


@pytest.mark.parametrize("width", [80, *(pytest.param(one, marks=pytest.mark.thorough) for one in (100, 120))])
def test_nothing_is_cut_off(cli: Callable, monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    pages = {name: cli("demo", name, "--all-cases", "--full").out for name in demo_enquiries()}
    for name, page in pages.items():
        assert max(map(len, page.splitlines())) <= width, name
        assert "…" not in page
        rating = wp.rate(enquiry_path(name))
        words = re.sub(r"\s+", "", page)
        for check in rating.checks:
            for word in check.title.split():
                assert word in page, (name, word)
        for warning in rating.warnings:
            assert re.sub(r"\s+", "", warning[1:]).rstrip(".") in words, (name, warning)
        for state in rating.trace():
            assert all(word in page for word in state.title.split())


def test_many_cases_stand_in_several_tables(cli: Callable, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (MESSAGES / "enquiry.toml").read_text(encoding="utf-8")
    head, case = text.rsplit("[[cases]]", 1)
    many = head + "".join("[[cases]]" + case.replace("hot day", f"case {number}") for number in range(20))
    (tmp_path / "enquiry.toml").write_text(many, encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "80")
    page = cli("rate", tmp_path / "enquiry.toml", "--pump", MESSAGES / "pump.toml").out
    assert max(map(len, page.splitlines())) <= 80
    points = sections(page)["Operating points"]
    assert all(f"case {number}" in points for number in range(20))


def test_piped_output_is_plain(tmp_path: Path) -> None:
    ran = subprocess.run([sys.executable, "-m", "wetpath", "demo"], capture_output=True, check=False)
    assert ran.returncode == 1
    assert b"\x1b" not in ran.stdout
    text = ran.stdout.decode("utf-8")
    assert not re.search(r"[\u2500-\u257f]", text)
    assert not re.search(r" +$", text, re.MULTILINE)


@pytest.mark.parametrize("encoding", ["ascii", *(pytest.param(one, marks=pytest.mark.thorough) for one in (
    "cp1252", "utf-8"))])
def test_any_encoding_can_be_written(encoding: str) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    ran = subprocess.run([sys.executable, "-m", "wetpath", "demo"], capture_output=True, check=False, env=environment)
    assert ran.returncode == 1, ran.stderr
    page = ran.stdout.decode(encoding)
    assert "Not as offered" in page
    assert "?  " not in page.split("Checks")[0]


def test_reader_of_a_pipe_may_leave() -> None:
    with subprocess.Popen([sys.executable, "-m", "wetpath", "demo", "--all-cases"], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE) as ran:
        assert ran.stdout is not None
        assert ran.stderr is not None
        ran.stdout.close()
        said = ran.stderr.read().decode()
    assert "Traceback" not in said
    assert "Exception" not in said


@pytest.mark.parametrize("arguments", [["rate"], ["rate", "a.toml", "--unit", "us"], ["nothing"], ["check"],
                                       ["demo", "--units", "imperial"]])
def test_wrong_use_is_bad_input(cli: Callable, arguments: list[str]) -> None:
    ran = cli(*arguments)
    assert ran.code == 2
    assert "Error: " in ran.err
    assert "Traceback" not in ran.err


def test_a_fault_of_the_program_is_told_in_a_sentence(cli: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(rating_page.RatingPage, "write", broken)
    monkeypatch.delenv(failures.DEBUG_VARIABLE, raising=False)
    ran = cli("demo")
    assert ran.code == 3
    assert ran.err.endswith(
        "The program failed at something it should have handled (ZeroDivisionError: division by zero). This is a fault "
        "of the program, not of your input.\nReport it with your files, and with what the same command shows with "
        "WETPATH_DEBUG=1 set.\n")
    monkeypatch.setenv(failures.DEBUG_VARIABLE, "1")
    from wetpath.faces.cli.main import run

    with pytest.raises(ZeroDivisionError):
        run(["demo"])


def test_stopping_is_told(cli: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(self: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(rating_page.RatingPage, "write", stopped)
    ran = cli("demo")
    assert (ran.code, ran.err.splitlines()[-1]) == (130, "Stopped.")


def test_demo_list_names_every_enquiry_and_its_verdict(cli: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "160")
    ran = cli("demo", "--list")
    assert ran.code == 0
    for name in demo_enquiries():
        line = next(line for line in ran.out.splitlines() if line.split()[:1] == [name])
        assert wp.rate(enquiry_path(name)).verdict.headline in line


def test_demo_with_another_pump(cli: Callable) -> None:
    ran = cli("demo", "butane_reflux", "--pump", "medium_ceramic")
    assert wp.demo_pump("medium_ceramic").name in ran.out
    assert pump_path("medium_ceramic").name in ran.out


def test_liquid_page(cli: Callable) -> None:
    liquid = wp.load_liquid("propane")
    ran = cli("liquid", "propane")
    assert ran.code == 0
    row = next(line.split() for line in ran.out.splitlines() if line.split()[:1] == ["25.0"])
    pressure = float(liquid.vapour_pressure(298.15))
    density = float(liquid.state(298.15, pressure).density)
    assert row[1:3] == [f"{pressure / 1e5:.2f}", f"{density:.1f}"]
    assert "74-98-6" in ran.out


def test_liquid_without_vapour_pressure_says_so(cli: Callable) -> None:
    ran = cli("liquid", MESSAGES / "liquid.toml")
    assert ran.code == 0
    assert "no margin to boiling can be stated" in ran.out
    assert "–" in next(line for line in ran.out.splitlines() if line.split()[:1] == ["60.0"])


def test_a_name_that_only_the_chemical_database_knows() -> None:
    assert wp.load_liquid("75-09-2").kind == "chemical database"
    assert wp.load_liquid("propane").kind == "reference equation"


def test_check_tells_what_was_checked(cli: Callable) -> None:
    ran = cli("check", *RUNS, MESSAGES / "pump.toml", MESSAGES / "liquid.toml")
    assert ran.code == 0
    assert ran.out.splitlines()[0] == f'{RUNS[0]}: enquiry "Test enquiry"; nothing wrong; nor with pump.toml'
    assert ran.err == ""


def test_check_goes_on_after_a_bad_file(cli: Callable, tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text('wetpath = "pumpe/1"\n', encoding="utf-8")
    ran = cli("check", tmp_path / "bad.toml", *RUNS)
    assert ran.code == 2
    assert "nothing wrong" in ran.out
    assert ran.err.splitlines()[0] == (
        f'{tmp_path}/bad.toml, line 1: wetpath = "pumpe/1" is not a kind of file known here. Did you mean pump/1?')
    assert ran.err.splitlines()[-1] == "1 problem in 2 files."


def test_json_goes_to_standard_output_alone(cli: Callable) -> None:
    ran = cli("rate", *RUNS, "--json")
    assert json.loads(ran.out)["wetpath"] == "rating/1"


def test_a_case_without_solution_says_what_its_values_are(cli: Callable) -> None:
    rating = wp.rate(enquiry_path("butane_as_found"))
    lost = [name for name, outcome in zip(rating.case_names, rating.outcomes, strict=True)
            if outcome is wp.Outcome.NO_SOLUTION]
    assert lost
    told = " ".join(cli("demo", "butane_as_found").out.split())
    assert f"What follows for {', '.join(lost)} are the values of the last state that closed" in told
    record = wp.record_of(rating)
    assert [bool(case.note) for case in record.cases] == [name in lost for name in rating.case_names]


def test_cases_with_another_liquid(cli: Callable, tmp_path: Path) -> None:
    text = (MESSAGES / "enquiry.toml").read_text(encoding="utf-8")
    water = ('\n[[other_liquids]]\nname = "wash"\nliquid = { source = "reference equation", substance = "water" }\n'
             '\n[[cases]]\nname = "washing"\nliquid = "wash"\nflow = "30 m3/h"\ntemperature = "20 degC"\n'
             'suction_pressure = "2 bar a"\n')
    (tmp_path / "enquiry.toml").write_text(text + water, encoding="utf-8")
    arguments = [str(tmp_path / "enquiry.toml"), "--pump", str(MESSAGES / "pump.toml")]
    points = sections(cli("rate", *arguments).out)["Operating points"].splitlines()
    assert next(line for line in points if line.startswith("liquid ")).split()[1:] == ["n-Butane", "n-Butane", "water"]
    record = json.loads(cli("rate", *arguments, "--json").out)
    assert [(one["called"], one["name"]) for one in record["liquids"]] == [("", "n-Butane"), ("wash", "water")]
    assert [case["liquid"] for case in record["cases"]] == ["n-Butane", "n-Butane", "water"]
    (tmp_path / "enquiry.toml").write_text(text + water.replace('"water"', '"watr"'), encoding="utf-8")
    ran = cli("rate", *arguments)
    assert ran.code == 2
    assert 'other_liquids["wash"].liquid.substance = "watr" is not a liquid' in ran.err
