"""``wetpath accept``: what the test bench should show on water, and whether what it showed is accepted."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.errors import InputError
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper, signed
from wetpath.questions.acceptance.accept import Acceptance
from wetpath.questions.acceptance.bench import Bench, Prediction
from wetpath.questions.acceptance.guarantee import Demand, Judgement
from wetpath.questions.acceptance.updated_pump import UpdatedPump
from wetpath.services import acceptance as service
from wetpath.services.standing import Standing

KINDS: dict[str, Kind] = {"head or flow": q.HEAD, "efficiency": q.RATIO, "power": q.POWER, "NPSH3": q.HEAD}


def show_acceptance(pump_file: Path, points: Path | None, asked: service.Asked, *, grade: str | None,
                    enquiry: Path | None, speed: str | None, temperature: str, suction_pressure: str,
                    update: Path | None, json: bool, us: bool) -> int:
    """Write the judgement, or without points the prediction; exit code 1 when a guarantee is not met."""
    if points is None and (asked.flow or asked.head or update):
        raise InputError("are missing: a guarantee is judged, and curves are refitted, by measured points",
                         field="POINTS", do="name the CSV file of the measured points after the pump file")
    by = service.grade_asked(grade, enquiry)
    pump, water = service.load_bench(pump_file, announce=lambda words: tell(f"{words} ..."))
    bench = service.bench_of(pump, speed=speed, temperature=temperature, suction_pressure=suction_pressure)
    figures = Figures.of(us)
    if points is None:
        predicted = service.predicted_bench(pump, water, bench)
        if json:
            sys.stdout.write(service.record_of_prediction(pump, bench, predicted).model_dump_json(indent=2) + "\n")
        else:
            _write_prediction(Paper(), figures, pump.name, bench, predicted)
        return 0
    found = service.accept_points(pump, water, points, asked, grade=by, bench=bench)
    updated = service.write_updated(found, water, points, update) if update else None
    if json:
        sys.stdout.write(service.record_of_acceptance(found).model_dump_json(indent=2) + "\n")
    else:
        _write_acceptance(Paper(), figures, found, updated, update)
    return 0 if found.accepted else 1


def _write_prediction(paper: Paper, figures: Figures, name: str, bench: Bench, predicted: Prediction) -> None:
    paper.heading(name, "on the test bench, predicted")
    _say_bench(paper, figures, bench)
    columns = [("flow", q.VOLUME_FLOW, predicted.flow), ("head", q.HEAD, predicted.head),
               ("power", q.POWER, predicted.power), ("efficiency", q.RATIO, predicted.efficiency),
               ("NPSH3", q.HEAD, predicted.npsh), ("drive losses", q.POWER, predicted.drive)]
    _table(paper, figures, columns, [("pull-out\nover torque", [figures.number(value, q.RATIO, unit="1", decimals=2)
                                                                for value in predicted.coupling_ratio])])
    paper.say("Power is that at the motor shaft, with the losses of the magnetic drive. Near shut-off only head is "
              "told.")


def _write_acceptance(paper: Paper, figures: Figures, found: Acceptance, updated: UpdatedPump | None,
                      target: Path | None) -> None:
    grade = found.judgements[0].grade.name
    words = f"Accepted in grade {grade}" if found.accepted else f"Not accepted in grade {grade}"
    paper.headline(words, Standing.HOLDS if found.accepted else Standing.SHORT)
    paper.say(f"{found.pump.name}. Guarantee point{'s' if len(found.judgements) > 1 else ''} by ISO 9906:2012; its "
              "tolerances are recalled, check them in the standard.")
    _say_bench(paper, figures, found.bench)
    for judgement, grades in zip(found.judgements, found.other_grades, strict=True):
        _write_judgement(paper, figures, judgement, grades)
    _write_points(paper, figures, found)
    if updated is not None:
        _write_updated(paper, figures, updated, target)
    if found.warnings:
        paper.heading("Warnings")
        paper.items(list(found.warnings))


def _write_judgement(paper: Paper, figures: Figures, judgement: Judgement, grades: Sequence[Judgement]) -> None:
    point = judgement.guarantee
    paper.heading(f"Guarantee {figures.text(point.flow, q.VOLUME_FLOW)}, {figures.text(point.head, q.HEAD)}",
                  f"grade {judgement.grade.name}")
    rows = []
    for one in judgement.demands:
        kind = KINDS[one.name]
        standing = Standing.UNKNOWN if np.isnan(one.measured) else Standing.HOLDS if one.met else Standing.SHORT
        rows.append((signed(standing, one.name), figures.text(one.flow, q.VOLUME_FLOW),
                     _value(figures, one.guaranteed, kind), _value(figures, one.measured, kind),
                     _range(figures, one, kind), _share(one.deviation), one.note))
    paper.table([Column(""), Column("judged at", number=True), Column("guaranteed", number=True),
                 Column("measured", number=True), Column("allowed", number=True), Column("off, %", number=True),
                 Column("", wraps=True, least=10)], rows)
    if not np.isnan(judgement.flow_deviation):
        at = point.flow * (1 + judgement.flow_deviation)
        paper.say(f"The guaranteed head is reached at {figures.text(at, q.VOLUME_FLOW)}, "
                  f"{_share(judgement.flow_deviation)} % of flow off.")
    met = ", ".join(one.grade.name for one in grades if one.accepted) or "none"
    paper.say(f"Grades met with all that is guaranteed: {met}.")


def _write_points(paper: Paper, figures: Figures, found: Acceptance) -> None:
    paper.heading("Measured points", "at the guaranteed speed, and how far from the prediction in %")
    points, predicted = found.points, found.predicted
    columns = [("flow", q.VOLUME_FLOW, points.flow), ("head", q.HEAD, points.head), ("power", q.POWER, points.power),
               ("efficiency", q.RATIO, points.efficiency), ("NPSH3", q.HEAD, points.npsh)]
    off = [("head", points.head, predicted.head), ("power", points.power, predicted.power),
           ("NPSH3", points.npsh, predicted.npsh)]
    _table(paper, figures, columns, [(f"{name}\n%", [_share(value) for value in ours / theirs - 1])
                                     for name, ours, theirs in off])


def _write_updated(paper: Paper, figures: Figures, updated: UpdatedPump, target: Path | None) -> None:
    paper.heading("Updated pump file", str(target))
    columns = [("flow", q.VOLUME_FLOW, updated.flow), ("head, old", q.HEAD, updated.old_head),
               ("new", q.HEAD, updated.new_head), ("wet-end eff., old", q.RATIO, updated.old_efficiency),
               ("new", q.RATIO, updated.new_efficiency), ("NPSH3, old", q.HEAD, updated.old_npsh),
               ("new", q.HEAD, updated.new_npsh)]
    _table(paper, figures, columns)
    left = "" if np.isnan(updated.power_left) else f", of power {100 * updated.power_left:.1f} %"
    paper.say(f"With it the prediction misses the measured heads by {100 * updated.head_left:.1f} %{left} "
              "(root mean square).")
    paper.items(list(updated.notes))


def _say_bench(paper: Paper, figures: Figures, bench: Bench) -> None:
    paper.say(f"Water at {figures.text(bench.temperature, q.TEMPERATURE)}, "
              f"{figures.text(bench.speed, q.ROTATIONAL_SPEED)}.")


def _table(paper: Paper, figures: Figures, columns: Sequence[tuple[str, Kind, np.ndarray]],
           more: Sequence[tuple[str, Sequence[str]]] = ()) -> None:
    titles = [Column(f"{name}\n{figures.unit(kind)}".rstrip(), number=True) for name, kind, _ in columns]
    titles += [Column(name, number=True) for name, _ in more]
    texts = [[figures.number(value, kind, decimals=1) for value in values] if kind == q.RATIO
             else figures.column(values, kind) for _, kind, values in columns]
    texts += [list(column) for _, column in more]
    paper.table(titles, list(zip(*texts, strict=True)))


def _share(value: float) -> str:
    return NOTHING if np.isnan(value) else f"{100 * value:+.1f}".replace("-", "−")


def _value(figures: Figures, value: float, kind: Kind) -> str:
    if kind == q.RATIO and not np.isnan(value):
        return f"{figures.number(value, kind, decimals=1)}\u2009%"
    return figures.text(value, kind)


def _range(figures: Figures, one: Demand, kind: Kind) -> str:
    if np.isinf(one.least):
        return f"≤ {_value(figures, one.most, kind)}"
    if np.isinf(one.most):
        return f"≥ {_value(figures, one.least, kind)}"
    low, high = figures.number(one.least, kind), figures.text(one.most, kind)
    return f"{low} to {high}"
