"""The commands and their options; each imports what it needs when it is called."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from wetpath.faces.cli.accounts import account_app
from wetpath.faces.cli.database import database_app
from wetpath.faces.cli.options import (
    AllCasesOption,
    CaseOption,
    ClusterOption,
    FullOption,
    JsonOption,
    PracticeOption,
    PumpOption,
    Units,
    UnitsOption,
    WorkersOption,
)
from wetpath.faces.cli.running import fleet, plant, watch
from wetpath.faces.cli.wrong import investigate, protect, upset

CAUTION = ("An aid for a competent engineer, who answers for the selection. Local codes, the maker and licensed "
           "practice come first.")

app = typer.Typer(name="wetpath", add_completion=False, no_args_is_help=True, rich_markup_mode=None,
                  pretty_exceptions_enable=False, context_settings={"help_option_names": ["-h", "--help"]},
                  help="Rates magnetic-drive (seal-less) pumps and tells whether the liquid stays liquid on its way "
                       f"through the internal circulation. {CAUTION}")

app.add_typer(database_app, name="database")
app.add_typer(account_app, name="account")


@app.command()
def rate(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    case: CaseOption = None,
    all_cases: AllCasesOption = False,
    full: FullOption = False,
    json: JsonOption = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Rate a pump for an enquiry. Exit code 0: every check holds; 1: a check does not hold; 2: bad input."""
    from wetpath.faces.cli.rating import show_rating

    raise typer.Exit(show_rating(enquiry, pump=pump, practice=practice, case=case, all_cases=all_cases, full=full,
                                 json=json, us=units is Units.US))


@app.command()
def demo(
    name: Annotated[str | None, typer.Argument(
        metavar="[NAME]", help="Name of a demo enquiry, as --list tells them.")] = None,
    pump: Annotated[str | None, typer.Option("--pump", help="Name of a demo pump, in place of the enquiry's.")] = None,
    list_all: Annotated[bool, typer.Option("--list", help="List the demo enquiries with their verdicts.")] = False,
    case: CaseOption = None,
    all_cases: AllCasesOption = False,
    full: FullOption = False,
    json: JsonOption = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Rate an invented demo pump for an invented demo enquiry. Exit codes as of `rate`; 0 with --list."""
    from wetpath.faces.cli.demo import list_demo, show_demo

    if list_all:
        raise typer.Exit(list_demo(us=units is Units.US))
    raise typer.Exit(show_demo(name, pump=pump, case=case, all_cases=all_cases, full=full, json=json,
                               us=units is Units.US))


@app.command()
def liquid(
    name_or_file: Annotated[str, typer.Argument(metavar="NAME_OR_FILE", help="Name, CAS number, or liquid file.")],
    units: UnitsOption = Units.METRIC,
) -> None:
    """Show the properties of a liquid over temperature, where they come from and how far they hold."""
    from wetpath.faces.cli.liquid import show_liquid

    raise typer.Exit(show_liquid(name_or_file, us=units is Units.US))


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE", help="Files of any kind: pump, enquiry, ...")],
) -> None:
    """Check files and the files they refer to, without rating. Exit code 0: nothing is wrong; 2: something is."""
    from wetpath.faces.cli.check import show_checked

    raise typer.Exit(show_checked(files))


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="pump, enquiry, liquid, practice, instruments, mapping, "
                                        "fleet; or a record: rating, coupling, window, worth, uncertainty, remedies, "
                                        "selection, upset, protection.")],
) -> None:
    """Write the JSON Schema of a kind of file."""
    from wetpath.services.schemas import schema_text

    sys.stdout.write(schema_text(kind))


@app.command()
def accept(
    pump: Annotated[Path, typer.Argument(metavar="PUMP", help="Pump file of the pump that is tested.")],
    points: Annotated[Path | None, typer.Argument(
        metavar="POINTS", help="CSV file of measured points, with a unit in every heading; without it the points "
                                 "that the bench should show are predicted.")] = None,
    flow: Annotated[list[str] | None, typer.Option(
        "--flow", metavar='"50 m3/h"', help="Guaranteed flow; give it and the next ones once for each point.")] = None,
    head: Annotated[list[str] | None, typer.Option("--head", metavar='"60 m"', help="Guaranteed head.")] = None,
    power: Annotated[list[str] | None, typer.Option(
        "--power", metavar='"15 kW"', help="Guaranteed power at the motor shaft.")] = None,
    efficiency: Annotated[list[str] | None, typer.Option(
        "--efficiency", metavar='"55 %"', help="Guaranteed efficiency over that power.")] = None,
    npsh: Annotated[list[str] | None, typer.Option("--npsh", metavar='"2.5 m"', help="Guaranteed NPSH3.")] = None,
    grade: Annotated[str | None, typer.Option(
        "--grade", help="1B, 1E, 1U, 2B, 2U or 3B of ISO 9906:2012; without it that of the enquiry, else 2B.")] = None,
    enquiry: Annotated[Path | None, typer.Option(
        "--enquiry", metavar="ENQUIRY", help="Enquiry file whose acceptance_grade counts.")] = None,
    speed: Annotated[str | None, typer.Option(
        "--speed", metavar='"2950 rpm"', help="Guaranteed speed; without it that of the driver.")] = None,
    temperature: Annotated[str, typer.Option("--temperature", help="Of the water on the bench.")] = "20 degC",
    suction_pressure: Annotated[str, typer.Option("--suction-pressure", help="On the bench.")] = "2 bar a",
    update: Annotated[Path | None, typer.Option(
        "--update", metavar="OUT", help="Write a pump file with curves refitted from the measured points.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write the result as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Judge a works test on water. Exit code 0: every guarantee is met; 1: one is not; 2: bad input."""
    from wetpath.faces.cli.accept import show_acceptance
    from wetpath.services.acceptance import Asked

    asked = Asked(flow or (), head or (), power or (), efficiency or (), npsh or ())
    raise typer.Exit(show_acceptance(
        pump, points, asked, grade=grade, enquiry=enquiry, speed=speed, temperature=temperature,
        suction_pressure=suction_pressure, update=update, json=json, us=units is Units.US))


@app.command()
def coupling(
    pump: Annotated[Path, typer.Argument(metavar="PUMP", help="Pump file.")],
    liquid_temperature: Annotated[str | None, typer.Option(
        "--liquid-temperature", metavar='"80 degC"',
        help="Of shell wall and inner magnets; 20 degC without it.")] = None,
    torque: Annotated[str | None, typer.Option(
        "--torque", metavar='"40 N m"',
        help="Through the coupling; without it that of the motor at rated power.")] = None,
    speed: Annotated[str | None, typer.Option(
        "--speed", metavar='"2950 rpm"', help="Without it that of the motor.")] = None,
    slip_loss_factor: Annotated[str | None, typer.Option(
        "--slip-loss-factor", metavar='"1.5"', help="On the shell's loss out of step; 1 without it.")] = None,
    plot: Annotated[Path | None, typer.Option(
        "--plot", metavar="FILE", help="Draw it into an SVG or PNG file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write the study as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Study the magnetic coupling and its shell. Exit code 0: every demand is met; 1: one is not; 2: bad input."""
    from wetpath.faces.cli.coupling import show_coupling

    raise typer.Exit(show_coupling(pump, liquid_temperature=liquid_temperature, torque=torque, speed=speed,
                                   slip_loss_factor=slip_loss_factor, plot=plot, json=json, us=units is Units.US))


@app.command()
def window(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Case the window stands on; without it the governing one.")] = None,
    grid: Annotated[str, typer.Option("--grid", metavar="NxM", help="Numbers of flows and temperatures.")] = "60x40",
    flow: Annotated[str | None, typer.Option("--flow", metavar='"5 70 m3/h"', help="Range of flow.")] = None,
    temperature: Annotated[str | None, typer.Option(
        "--temperature", metavar='"20 80 degC"', help="Range of temperature.")] = None,
    suction_pressure: Annotated[str | None, typer.Option(
        "--suction-pressure", metavar='"4.9 bar a"', help="At every point, in place of that of the case.")] = None,
    above_vapour_pressure: Annotated[str | None, typer.Option(
        "--above-vapour-pressure", metavar='"0.6 bar"',
        help="The same above the vapour pressure of each point.")] = None,
    speed: Annotated[str | None, typer.Option(
        "--speed", metavar='"2950 rpm"', help="In place of that of the case.")] = None,
    csv: Annotated[Path | None, typer.Option(
        "--csv", metavar="FILE", help="Write every point into a CSV file.")] = None,
    plot: Annotated[Path | None, typer.Option(
        "--plot", metavar="FILE", help="Draw it into an SVG or PNG file.")] = None,
    cluster: ClusterOption = None,
    workers: WorkersOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write the window as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Tell in which flows and temperatures every check holds, and the suction pressure needed.

    Exit code 0: every check holds at the point of the case; 1: one does not; 2: bad input; 130: stopped.
    """
    from wetpath.faces.cli.window import show_window

    raise typer.Exit(show_window(
        enquiry, pump=pump, practice=practice, case=case, grid=grid, flow=flow, temperature=temperature,
        suction_pressure=suction_pressure, above_vapour_pressure=above_vapour_pressure, speed=speed, csv=csv, plot=plot,
        cluster=cluster, workers=workers, json=json, us=units is Units.US))


@app.command()
def select(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file; the pump it names does not count.")],
    catalogue: Annotated[Path | None, typer.Option(
        "--catalogue", metavar="DIR", help="Folder of pump files; without it the invented demo pumps.")] = None,
    practice: PracticeOption = None,
    shell: Annotated[list[str] | None, typer.Option(
        "--shell", metavar="MATERIAL", help="Shell material to try besides those of the catalogue, as R56400.")] = None,
    weights: Annotated[str | None, typer.Option(
        "--weights", metavar='"margin 2 energy 1 NPSH 1"', help="What counts in the order; equal without it.")] = None,
    most: Annotated[int, typer.Option("--most", min=1, max=100, help="Offers at most.")] = 8,
    write: Annotated[Path | None, typer.Option(
        "--write", metavar="DIR", help="Write the pump file of every offer into a folder.")] = None,
    cluster: ClusterOption = None,
    workers: WorkersOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Select pumps out of a catalogue, in trim, speed, magnet length and shell.

    Exit code 0: an offer holds in every check; 1: none does; 2: bad input; 130: stopped.
    """
    from wetpath.faces.cli.select import show_selection

    raise typer.Exit(show_selection(enquiry, catalogue=catalogue, practice=practice, shells=shell or [],
                                    weights=weights, most=most, write=write, cluster=cluster, workers=workers,
                                    json=json, us=units is Units.US))


@app.command()
def worth(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Operating case; without it the one nearest to its vapour demands.")] = None,
    full: Annotated[bool, typer.Option("--full", help="Show the inputs that hardly matter too.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Show what a change of each input is worth: +1 bar, 1 K colder, a hole 0.1 mm wider. Exit code 2: bad input."""
    from wetpath.faces.cli.worth import show_worth

    raise typer.Exit(show_worth(enquiry, pump=pump, practice=practice, case=case, full=full, json=json,
                                us=units is Units.US))


@app.command()
def uncertainty(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    samples: Annotated[int, typer.Option("--samples", help="Points per case, raised to a power of two.")] = 4096,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Of the points; the same gives the same answer.")] = 1,
    spread: Annotated[list[str] | None, typer.Option(
        "--spread", metavar='"NAME=LOW to HIGH"', help="Spread of an input in place of the default, as "
                                                       '"temperature=-0.5 K to 2 K"; 0: exactly known.')] = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Case whose causes are told; without it the one nearest to its limits.")] = None,
    full: Annotated[bool, typer.Option("--full", help="Show the causes that hardly matter too.")] = False,
    cluster: ClusterOption = None,
    workers: WorkersOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Show how sure the vapour margins are, and what is worth measuring. Exit code 2: bad input; 130: stopped."""
    from wetpath.faces.cli.uncertainty import show_uncertainty

    raise typer.Exit(show_uncertainty(enquiry, pump=pump, practice=practice, case=case, samples=samples, seed=seed,
                                      spreads=spread or (), cluster=cluster, workers=workers, full=full, json=json,
                                      us=units is Units.US))


@app.command()
def remedies(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Show which changes gain margin, each rated anew: shell, holes, speed, impeller, suction pressure.

    Exit code 0: every check holds, as offered or with one of them; 1: with none; 2: bad input.
    """
    from wetpath.faces.cli.remedies import show_remedies

    raise typer.Exit(show_remedies(enquiry, pump=pump, practice=practice, json=json, us=units is Units.US))


@app.command()
def report(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    output: Annotated[Path, typer.Option("--output", "-o", help="File that ends in .pdf, .xlsx or .json.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    previous: Annotated[Path | None, typer.Option(
        "--previous", help="Data file (.json) of an earlier report; what changed since is marked.")] = None,
    approved_by: Annotated[str, typer.Option("--approved-by", help="Who approves; a draft without it.")] = "",
    revision: Annotated[str, typer.Option("--revision", help="Letter of the revision.")] = "A",
    date: Annotated[str, typer.Option("--date", help="Date of the report, 2026-05-04; today without it.")] = "",
    short: Annotated[bool, typer.Option("--short", help="Leave out window, remedies, protection plan and "
                                                         "uncertainty.")] = False,
    samples: Annotated[int, typer.Option(
        "--samples", help="Points of the uncertainty for each case; 0 leaves it out.")] = 256,
    copies: Annotated[int, typer.Option(
        "--copies", help="Copies of the model behind the protection plan; 0: nominal, without bands.")] = 0,
    pressure_unit: Annotated[str, typer.Option(
        "--pressure-unit", help="bar, kPa, MPa or psi; that of the set of units without it.")] = "",
    language: Annotated[str, typer.Option(
        "--language", help="Language of a catalogue that is there; en comes with the program.")] = "en",
    units: UnitsOption = Units.METRIC,
) -> None:
    """Write the report of a rating as PDF, workbook or data file. Exit codes as of `rate`."""
    from wetpath.faces.cli.rating import announce
    from wetpath.faces.report.write import write_report

    holds = write_report(enquiry, output, pump=pump, practice=practice, previous=previous, approved_by=approved_by,
                         revision=revision, date=date, us=units is Units.US, pressure_unit=pressure_unit, short=short,
                         samples=samples, copies=copies, language=language, announce=announce)
    typer.echo(f"{output} is written.")
    raise typer.Exit(0 if holds else 1)


for _command in (upset, protect, investigate, watch, fleet, plant):
    app.command()(_command)


@app.command()
def lifecycle(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    scope: Annotated[Path, typer.Option("--scope", help="Life-cycle scope: hours, prices, what each pump costs.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    json: JsonOption = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Compare with a sealed pump and its support system: energy, repairs, downtime, emissions as present values."""
    from wetpath.faces.cli.lifecycle import show_lifecycle

    raise typer.Exit(show_lifecycle(enquiry, scope, pump=pump, practice=practice, json=json, us=units is Units.US))


@app.command()
def serve(
    host: Annotated[str, typer.Option(
        "--host", help="Address to listen at; one that other machines reach needs accounts.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Port to listen at.")] = 8765,
    show: Annotated[bool, typer.Option(help="Open a browser.")] = True,
    database: Annotated[str | None, typer.Option(
        "--database", metavar="URL", help="sqlite:///FILE or postgresql://USER@HOST/NAME; without it a file of this "
                                          "user.")] = None,
    address: Annotated[str, typer.Option(
        "--address", metavar="URL", help="Where users find it, as https://pumps.example.org, when a proxy stands "
                                         "before it.")] = "",
    proxy: Annotated[str, typer.Option(
        "--proxy", metavar="IP", help="Address from which that proxy asks.")] = "127.0.0.1",
    certificate: Annotated[Path | None, typer.Option(
        "--certificate", metavar="FILE", help="Certificate for TLS without a proxy, PEM.")] = None,
    key: Annotated[Path | None, typer.Option("--key", metavar="FILE", help="Its private key, PEM.")] = None,
    fleet: Annotated[list[Path] | None, typer.Option(
        "--fleet", metavar="FILE", help="Fleet file whose pumps are shown; several times for several.")] = None,
) -> None:
    """Serve the web application and the HTTP interface, until stopped with Ctrl C.

    Without accounts it serves the one user of this machine, to this machine only. With accounts, everybody logs in.
    """
    from wetpath.faces.web.app import serve as start

    start(host, port, address=address, proxy=proxy, certificate=certificate, key=key, show=show, database=database,
          fleets=fleet or ())


@app.callback(invoke_without_command=True)
def _options(
    version: Annotated[bool, typer.Option("--version", help="Tell the version of the program.")] = False,
) -> None:
    if version:
        from wetpath import __version__

        typer.echo(f"wetpath {__version__}")
        raise typer.Exit


def run(arguments: list[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code; a user never meets a traceback."""
    from wetpath.faces.cli.failures import BROKEN_PIPE, STOPPED, exit_code_of, tell

    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")   # small matrices: threads only cost, at start and later
    code: int | None
    try:
        code = app(args=arguments, standalone_mode=False, prog_name="wetpath") or 0
        if code == STOPPED:
            tell("Stopped.")
        sys.stdout.flush()
    except BaseException as error:
        code = exit_code_of(error)
        if code is None:
            raise
    if code == BROKEN_PIPE:      # the reader of a pipe has left; nothing may be written any more, not even at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)


