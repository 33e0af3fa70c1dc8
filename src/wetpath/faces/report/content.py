"""What a report says: built once from a rating and what was asked beside it, before it is set."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from wetpath.drawing.checks import check_values, kind_named
from wetpath.drawing.curves import curves_drawing
from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.margin_rule import margin_rule
from wetpath.drawing.palette import LIGHT, fixed
from wetpath.drawing.section import section_drawing
from wetpath.drawing.trace import trace_drawing
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.faces.report.cells import capital, cell_of, decimals_of
from wetpath.faces.report.coupling_sheet import CouplingSheet
from wetpath.faces.report.parts import Cell, Chart, Part, Picture, Report, Sheet, Table, Words
from wetpath.faces.report.protection_sheet import ProtectionSheet
from wetpath.faces.report.texts import Texts, texts
from wetpath.faces.report.uncertainty_sheet import UncertaintySheet
from wetpath.faces.report.window_sheet import WindowSheet
from wetpath.questions.coupling_study.study import CouplingStudy
from wetpath.questions.protection.study import Plan
from wetpath.questions.remedies.study import Remedies
from wetpath.questions.uncertainty.study import Uncertainty
from wetpath.questions.window.study import Window
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import Block, Line
from wetpath.services.cautions import cautions_of
from wetpath.services.record import CheckCaseRecord, CheckRecord, Record
from wetpath.services.standing import Standing
from wetpath.services.upsets import CAUTIONS
from wetpath.words import speaking


@dataclass(frozen=True)
class Approval:
    """Who approved the report, when, and the letter of its revision; without a day that of the report."""

    who: str = ""
    letter: str = "A"
    day: str = ""


@dataclass(frozen=True)
class Material:
    """What the report is about: a rating, its record, and what else was asked."""

    rating: Rating
    record: Record
    remedies: Remedies | None = None
    window: Window | None = None
    window_svg: str = ""
    previous: DataSheet | None = None
    coupling: CouplingStudy | None = None
    uncertainty: Uncertainty | None = None
    protection: Plan | str | None = None


DRAFT = Approval()


def report_of(material: Material, figures: Figures, *, date: str, approval: Approval = DRAFT,
              language: str = "en") -> Report:
    """Build the report; the same inputs give the same report, whatever the day: the date is given."""
    say = texts(language)
    with speaking(say.words):
        return _Builder(material, figures, date, approval, say).report()


class _Builder:
    def __init__(self, material: Material, figures: Figures, date: str, approval: Approval, say: Texts) -> None:
        self.rating, self.record, self.material = material.rating, material.record, material
        self.figures, self.date, self.approval, self.say = figures, date, approval, say
        self.sheet = data_sheet(material.rating)
        self.before = _cells_by_key(material.previous, figures, say)

    def report(self) -> Report:
        """All sheets in order."""
        record, say = self.record, self.say
        sheets = [self.first(), *self.data_sheet(), self.curves(), self.section(), self.profiles(),
                  self.checks()]
        if self.material.coupling is not None:
            sheets.insert(-3, CouplingSheet(self.material.coupling, record, self.figures, say).sheet())
        if self.material.window is not None:
            sheets += WindowSheet(self.material.window, self.material.window_svg, self.figures, say).sheets()
        if self.material.protection is not None:
            sheets.append(ProtectionSheet(self.material.protection, self.figures, say).sheet())
        if self.material.uncertainty is not None:
            sheets.append(UncertaintySheet(self.material.uncertainty, self.figures, say).sheet())
        sheets += [self.tests(), self.notes(), self.provenance()]
        strip = (f"{say('report')} · {say('revision', letter=self.approval.letter)}",
                 f"wetpath {record.program_version}", self.date, f"hash {_hash(record)}")
        approved = "" if not self.approval.who else say("approved", who=self.approval.who,
                                                        date=self.approval.day or self.date)
        level = Standing.HOLDS if record.verdict.holds else Standing.SHORT
        sentence = _sentence(say.words(self.rating.verdict.sentence_in(self.figures.units)))
        return Report(
            title=record.title, subtitle=f"{record.pump} · {record.liquids[0].name}",
            headline=say.words(record.verdict.headline), standing=level.value, sentence=sentence, date=self.date,
            draft=not self.approval.who, strip=strip, sheets=tuple(sheets),
            words={key: say(key) for key in ("draft", "draft_note", "page", "language")}
            | {"approved": approved})

    def first(self) -> Sheet:
        """The verdict, what governs and what is missing, the operating cases."""
        record, say, figures = self.record, self.say, self.figures
        check = next(one for one in record.checks if one.name == record.verdict.check)
        worst = next(one for one in check.cases if one.case == record.verdict.case)
        actual, limit, margin = check_values(check, worst, figures)
        title = capital(say.words(check.title))
        governs = [say("governs_by", title=title, case=worst.case, actual=actual, limit=limit, margin=margin,
                       meaning=_sentence(say.words(check.meaning)))]
        if worst.where:
            governs.append(say("governs_at", where=worst.where))
        if not record.verdict.holds:
            governs.append(say("governs_remedy", remedy=check.remedy))
        missing = []
        for case in record.cases:
            asked = case.missing_to_practice
            if asked.suction_pressure_pa or asked.cooling_k:
                more = figures.text(asked.suction_pressure_pa, q.PRESSURE_DIFFERENCE, sign=True)
                colder = figures.text(asked.cooling_k, q.TEMPERATURE_DIFFERENCE)
                missing.append(say("missing_in", case=case.name, outcome=case.outcome_words, more=more, colder=colder))
        parts: list[Part] = [Words(say("governs"), tuple(governs))]
        if missing:
            parts.append(Words(say("missing"), tuple(missing)))
        rule = fixed(margin_rule(record, identity="rule-report"), LIGHT)
        parts.append(Picture(say("rule"), rule, say("rule"), "88%"))
        parts.append(self._cases())
        if self.material.remedies is not None:
            parts.append(self._remedies(self.material.remedies))
        if self.material.previous is not None:
            parts.append(self._changes(self.material.previous))
        return Sheet("verdict", say("verdict"), tuple(parts))

    def _cases(self) -> Table:
        rows, figures = [], self.figures
        for case in self.record.cases:
            point = case.operating_point
            known = [one for one in case.trace if one.margin_pa is not None]
            worst = min(known, key=lambda one: one.margin_pa or 0.0, default=None)
            rows.append((Cell(case.name, bold=True), self.cell(point.flow_m3_per_s, q.VOLUME_FLOW),
                         self.cell(point.head_m, q.HEAD), self.cell(point.temperature_k, q.TEMPERATURE),
                         self.cell(point.suction_pressure_pa, q.PRESSURE), self.cell(case.losses.shaft_w, q.POWER),
                         self.cell(point.npsh_available_m, q.HEAD), self.cell(point.npsh_required_m, q.HEAD),
                         self.cell(worst.margin_pa if worst else None, q.PRESSURE_DIFFERENCE,
                                   standing=worst.standing if worst else None), Cell(worst.name if worst else ""),
                         self.cell(case.wall.margin_k, q.TEMPERATURE_DIFFERENCE)))
        names = [("case", None), ("flow", q.VOLUME_FLOW), ("head", q.HEAD), ("temperature", q.TEMPERATURE),
                 ("suction", q.PRESSURE), ("power", q.POWER), ("npsh_available", q.HEAD), ("npsh", q.HEAD),
                 ("vapour_margin", q.PRESSURE_DIFFERENCE), ("at_station", None),
                 ("wall_margin", q.TEMPERATURE_DIFFERENCE)]
        return Table(self.say("cases"), tuple(
            (self.say(f"column_{name}") + (f", {figures.unit(kind)}" if kind else ""), kind is not None)
            for name, kind in names), tuple(rows))

    def _remedies(self, found: Remedies) -> Part:
        say = self.say
        if not found.trials:
            return Words(say("gains"), (say("none_tried"),))
        kind = kind_named(found.rating.verdict.check.difference_kind.name)
        in_words = self.figures.in_words
        rows = tuple((Cell(say.words(trial.remedy.title(self.figures.units))), self.cell(trial.gain, kind, sign=True),
                      Cell(say("then_holds") if trial.makes_it_hold else say.words(trial.rating.verdict.headline)),
                      Cell("; ".join([*(say("breaks", check=one.check.title) for one in trial.worse if one.broken),
                                      in_words(say.words(trial.remedy.cost))]))) for trial in found.trials[:8])
        return Table(say("gains"), ((say("column_change"), False),
                                    (f"{say('column_gain')}, {self.figures.unit(kind)}", True),
                                    (say("column_then"), False), (say("column_cost"), False)), rows)

    def _changes(self, previous: DataSheet) -> Part:
        rows = []
        for key, line, text in _lines(self.sheet, self.figures, self.say):
            before = self.before.get(key)
            if before != text:
                rows.append((Cell(self.say.words(line.title)), Cell(before or NOTHING), Cell(text)))
        if not rows:
            return Words(self.say("changes"), (self.say("none"),))
        return Table(self.say("changes"), ((self.say("column_item"), False), (self.say("column_before"), False),
                                           (self.say("column_now"), False)), tuple(rows))

    def data_sheet(self) -> Iterable[Sheet]:
        """Purchaser's and maker's data apart, every cell with unit and basis."""
        for key, blocks in (("purchaser", self.sheet.purchaser), ("maker", self.sheet.maker)):
            parts: list[Part] = [self._block(block) for block in blocks if block.lines]
            parts.append(Words("", (self.say("basis_note"),), soft=True))
            yield Sheet(key, self.say(key), tuple(parts))

    def _block(self, block: Block) -> Table:
        by_case = any(line.by_case for line in block.lines)
        columns = [(self.say("column_item"), False), *(
            ((case, True) for case in self.sheet.cases) if by_case else ((self.say("column_value"), False),)),
            (self.say("column_unit"), False), (self.say("column_basis"), False)]
        wide = len(self.sheet.cases) if by_case else 1
        rows = []
        for line in block.lines:
            shown = [self._sheet_cell(block, line, number) for number in range(len(line.cells))]
            if by_case and not line.by_case:
                shown = [replace(shown[0], across=wide)]
            filled = [*shown, *(Cell("") for _ in range(wide - len(shown)))]
            kind = kind_named(line.quantity) if line.quantity else None
            basis = "".join(sorted({self.say(f"basis_{one.basis}") for one in line.cells}))
            rows.append((Cell(self.say.words(line.title)), *filled, Cell(self.figures.unit(kind) if kind else ""),
                         Cell(basis)))
        return Table(capital(self.say.words(block.title)), tuple(columns), tuple(rows))

    def _sheet_cell(self, block: Block, line: Line, number: int) -> Cell:
        text, value, decimals = _cell_text(line, number, self.figures, self.say)
        key = f"{block.key}.{line.key}.{number}"
        changed = self.material.previous is not None and self.before.get(key) != text
        return Cell(text, value, decimals, changed=changed)

    def curves(self) -> Sheet:
        """The pump over flow at site, with the operating cases and limits."""
        case = self.record.verdict.case
        table = next((one for one in self.sheet.curves if one.case == case), self.sheet.curves[0])
        drawing = fixed(curves_drawing(self.record, table, self.figures, identity="curves-report"), LIGHT)
        kinds = ((table.flow_m3_per_s, q.VOLUME_FLOW, "column_flow"), (table.head_m, q.HEAD, "column_head"),
                 (table.shaft_power_w, q.POWER, "column_power"), (table.efficiency, q.RATIO, "column_efficiency"),
                 (table.npsh_required_m, q.HEAD, "column_npsh"),
                 (table.least_margin_pa, q.PRESSURE_DIFFERENCE, "column_margin"))
        rows = tuple(tuple(self.cell(values[number], kind) for values, kind, _ in kinds)
                     for number in range(len(table.flow_m3_per_s)))
        columns = tuple((f"{self.say(name)}, {self.figures.unit(kind)}", True) for _, kind, name in kinds)
        title = self.say("curves_of", case=table.case)
        return Sheet("curves", title, (
            Picture("", drawing, title, "82%"), Words("", (self.say("curves_note"),), soft=True),
            Table("", columns, rows)), Chart(title, 0, (1,), columns[0][0], columns[1][0]))

    def section(self) -> Sheet:
        """The section drawing of the governing case, across the paper."""
        case = next(one for one in self.record.cases if one.name == self.record.verdict.case)
        drawing = fixed(section_drawing(self.record, case, self.figures, identity="section-report"), LIGHT)
        return Sheet("section", self.say("section"), (
            Picture(self.say("section_of", case=case.name), drawing, self.say.words(case.outcome_words)),), wide=True)

    def profiles(self) -> Sheet:
        """Trace of the governing case, and the stations of every case."""
        governing = self.record.verdict.case
        parts: list[Part] = []
        for number, case in enumerate(sorted(self.record.cases, key=lambda one: one.name != governing)):
            if case.name == governing:
                trace = trace_drawing(self.record, case, self.figures, identity=f"trace-{number}")
                parts.append(Picture(self.say("trace_of", case=case.name), fixed(trace, LIGHT),
                                     self.say.words(case.outcome_words), "72%"))
            rows = tuple((Cell(f"{one.name}  {self.say.words(one.title)}"), self.cell(one.pressure_pa, q.PRESSURE),
                          self.cell(one.temperature_k, q.TEMPERATURE), self.cell(one.vapour_pressure_pa, q.PRESSURE),
                          self.cell(one.margin_pa, q.PRESSURE_DIFFERENCE, standing=one.standing,
                                    formula="{1}-{3}" if one.margin_pa is not None else ""),
                          self.cell(one.margin_m, q.HEAD), self.cell(one.margin_k, q.TEMPERATURE_DIFFERENCE),
                          self.cell(one.wall_temperature_k, q.TEMPERATURE), self.cell(one.flow_kg_per_s, q.MASS_FLOW))
                         for one in case.trace)
            names = (("column_station", None), ("column_pressure", q.PRESSURE), ("column_temperature", q.TEMPERATURE),
                     ("column_vapour", q.PRESSURE), ("column_margin", q.PRESSURE_DIFFERENCE), ("column_margin", q.HEAD),
                     ("column_margin", q.TEMPERATURE_DIFFERENCE), ("column_wall", q.TEMPERATURE),
                     ("column_flow", q.MASS_FLOW))
            columns = tuple((f"{self.say(name)}, {self.figures.unit(kind)}" if kind else self.say(name),
                             kind is not None) for name, kind in names)
            parts.append(Table(self.say("profile_of", case=case.name, outcome=case.outcome_words), columns, rows))
        return Sheet("profile", self.say("profile"), tuple(parts))

    def checks(self) -> Sheet:
        """Checks by cases: the margin of each, and the limit with its source."""
        record, say = self.record, self.say
        numbers = {one.key: str(number) for number, one in enumerate(record.sources, start=1)}
        rows: list[tuple[Cell, ...]] = []
        subject = ""
        width = len(record.cases) + 4
        for check in record.checks:
            if check.subject != subject:
                subject = check.subject
                rows.append((Cell(capital(say.words(subject)), bold=True), *(Cell("") for _ in range(width - 1))))
            worst = next(one for one in check.cases if one.case == check.worst_case)
            rows.append((Cell(say.words(check.title), bold=check.name == record.verdict.check),
                         *self._values(check, worst), *(self._margin(check, one) for one in check.cases),
                         Cell(f"[{numbers[check.source]}]" if check.source in numbers else say.words(check.status))))
        columns = ((say("column_check"), False), (say("column_actual"), True), (say("column_limit"), True),
                   *((f"{say('column_margin')}, {case.name}", True) for case in record.cases),
                   (say("column_source"), False))
        return Sheet("checks", say("checks"), (Table("", columns, tuple(rows), note=say("checks_note")),))

    def _values(self, check: CheckRecord, worst: CheckCaseRecord) -> tuple[Cell, Cell]:
        """Actual value and limit, as numbers where they are."""
        actual, limit, _ = check_values(check, worst, self.figures)
        kind = kind_named(check.quantity)
        found = self.cell(worst.limit, kind, unit=True)
        return (self.cell(worst.actual, kind, unit=True) if worst.actual is not None else Cell(actual),
                replace(found, text=limit, sign=limit.partition(" ")[0]) if found.number is not None else Cell(limit))

    def _margin(self, check: CheckRecord, one: CheckCaseRecord) -> Cell:
        """The margin of a case; of the worst case as a formula of the actual value and the limit."""
        if not one.asked:
            return Cell("·")
        found = self.cell(one.margin, kind_named(check.margin_quantity), sign=True, unit=True)
        formula = ""
        if one.case == check.worst_case and found.number is not None:
            actual, limit = (cell.number or 0.0 for cell in self._values(check, one))
            left = actual - limit if check.sense == "at least" else limit - actual
            if math.isclose(left, found.number, rel_tol=1e-9, abs_tol=1e-9 * max(abs(actual), abs(limit))):
                formula = "{1}-{2}" if check.sense == "at least" else "{2}-{1}"
        return replace(found, text=f"{one.standing.sign} {found.text}", sign=one.standing.sign,
                       standing=one.standing.value, formula=formula)

    def tests(self) -> Sheet:
        """Tests, deviations, open points."""
        say, sheet = self.say, self.sheet
        tests = tuple((Cell(say.words(one.title)), Cell(say.words(one.demand)),
                       Cell(self._test_value(one.value, one.quantity)))
                      for one in sheet.tests)
        parts: list[Part] = [Table(say("tests"), ((say("column_test"), False), (say("column_demand"), False),
                                                  (say("column_value"), False)), tests)]
        deviations = tuple((Cell(say.words(one.title)), Cell(one.case), Cell(say.words(one.where)),
                            Cell(say.words(one.remedy)))
                           for one in sheet.deviations)
        columns = tuple((say(name), False) for name in ("column_check", "column_case", "column_where", "column_gains"))
        parts.append(Table(say("deviations"), columns, deviations) if deviations
                     else Words(say("deviations"), (say("none"),)))
        points = tuple((Cell(say.words(one.party)), Cell(say.words(one.what)), Cell(say.words(one.until_then)))
                       for one in sheet.open_points)
        parts.append(Table(say("open_points"), ((say("column_who"), False), (say("column_what"), False),
                                                (say("column_until"), False)), points)
                     if points else Words(say("open_points"), (say("none"),)))
        return Sheet("tests", say("tests"), tuple(parts))

    def _test_value(self, value: object, quantity: str) -> str:
        found = getattr(value, "value", None)
        if isinstance(found, float) and quantity:
            return self.figures.text(found, kind_named(quantity))
        return "" if found is None else self.say.words(str(found))

    def notes(self) -> Sheet:
        """Warnings, cautions."""
        say, record = self.say, self.record
        planned = self.material.protection is not None
        return Sheet("cautions", say("cautions"), (
            Words(say("warnings"), tuple(_sentence(self.figures.in_words(say.words(one))) for one in record.warnings)
                  or (say("none"),)),
            Words(say("cautions"), tuple(_sentence(say.words(one))
                                         for one in cautions_of(self.rating, self.figures.units))),
            *((Words(say("protection_plan"), tuple(map(say.words, CAUTIONS))),) if planned else ())))

    def provenance(self) -> Sheet:
        """Version, files with hashes, practice, models, sources."""
        say, record = self.say, self.record
        files = tuple((Cell(say.words(one.role)), Cell(one.file or ""), Cell(one.sha256)) for one in record.inputs)
        sources = tuple((Cell(f"[{number}]"), Cell(one.text), Cell(", ".join(map(say.words, one.statuses))))
                        for number, one in enumerate(record.sources, start=1))
        liquids = tuple(f"{one.name}: " + "; ".join(f"{say.words(prop.name)}: {prop.text} ({say.words(prop.status)})"
                                                   for prop in one.properties) for one in record.liquids)
        return Sheet("provenance", say("provenance"), (
            Words("", (say("made_by", version=record.program_version, practice=record.practice.name,
                           hash=_hash(record)), *liquids)),
            Table("", tuple((say(name), False) for name in ("column_input", "column_file", "column_hash")), files),
            Table(say("sources"), (("", False), (say("column_source"), False), (say("column_known"), False)),
                  sources)))

    def cell(self, value: float | None, kind: Kind, *, standing: Standing | None = None, sign: bool = False,
             unit: bool = False, formula: str = "") -> Cell:
        """A number in the units of the report."""
        return cell_of(self.figures, value, kind, standing=standing, sign=sign, unit=unit, formula=formula)


def _lines(sheet: DataSheet, figures: Figures, say: Texts) -> Iterable[tuple[str, Line, str]]:
    for block in (*sheet.purchaser, *sheet.maker):
        for line in block.lines:
            for number in range(len(line.cells)):
                yield f"{block.key}.{line.key}.{number}", line, _cell_text(line, number, figures, say)[0]


def _cells_by_key(sheet: DataSheet | None, figures: Figures, say: Texts) -> dict[str, str]:
    return {} if sheet is None else {key: text for key, _, text in _lines(sheet, figures, say)}


def _cell_text(line: Line, number: int, figures: Figures, say: Texts) -> tuple[str, float | None, int | None]:
    cell = line.cells[number]
    if cell.value is None:
        return (NOTHING, None, None)
    if isinstance(cell.value, bool):
        return (say("yes" if cell.value else "no"), None, None)
    if isinstance(cell.value, str):
        return (say.words(cell.value), None, None)
    kind = kind_named(line.quantity) if line.quantity else q.NUMBER
    text = figures.number(cell.value, kind, decimals=_decimals(line, kind, figures))
    return text, float(convert(cell.value, kind, figures.units.unit(kind).name)), decimals_of(text)


def _decimals(line: Line, kind: Kind, figures: Figures) -> int | None:
    """Decimals of a line: those usual for its unit; more where a power would else be told as nothing."""
    if kind != q.POWER:
        return None
    unit = figures.units.unit(kind).name
    largest = max((abs(float(convert(cell.value, kind, unit))) for cell in line.cells
                   if isinstance(cell.value, float)), default=0.0)
    return 1 if largest >= 10 else 2 if largest >= 0.1 else 3


def _sentence(words: str) -> str:
    told = capital(words)
    return told if told.endswith((".", "!", "?")) else f"{told}."


def _hash(record: Record) -> str:
    return hashlib.sha256(record.model_dump_json().encode()).hexdigest()[:12]
