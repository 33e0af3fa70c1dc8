"""Write ``validation.md`` from the rows the tests recorded, and ``sources.md`` from sources and marked formulas.

    uv run pytest -n 3 --dist loadfile --validation-rows=build/validation.json
    uv run python docs/generate_validation.py build/validation.json

A run in which a row does not agree with its source is refused.
"""

from __future__ import annotations

import importlib
import json
import math
import pkgutil
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import wetpath
from wetpath.edge.sources import Reference, all_sources
from wetpath.physics.published import FORMULAS

HERE = Path(__file__).parent
#: Longer tables are folded.
MOST_ROWS = 40
Row = dict[str, Any]

#: Subjects in the order of the page, each with what in the path of a test file belongs to it, the first match counts.
SUBJECTS = {
    "Magnets and coupling": ("magnetic", "coupling", "demagnet", "slip", "starting", "opposing_field", "eccentric",
                             "side_pull"),
    "Circulation": ("circulation",),
    "Bearings and films": ("film", "bearing", "thrust_face", "loads_and_thrust"),
    "Flow in passages and drag": ("/flow/", "/drag/"),
    "Heat": ("/heat/", "temperature_class", "surface", "standstill", "shut_in"),
    "Pump hydraulics": ("pump", "flow_limits", "suction", "smooth_fit", "works_test", "acceptance", "hydraulics"),
    "Pressure parts": ("strength", "shell"),
    "Motor and instruments": ("electrical", "motor", "driver", "resistance", "instrument"),
    "Liquids": ("liquid",),
    "Money and emissions": ("economics", "lifecycle"),
    "Units and tables": ("edge", "unit", "table"),
    "Other": ("",),
}
STATUSES = {
    "read": "the value was read in the source named",
    "recalled": "the value was written down from memory of the source; check it there before anything rests on it",
    "derived": "the value follows from first principles, worked out apart from the program",
    "computed": "the value comes from an independent program or library, or was worked out by hand from its inputs",
    "common practice": "a fact of the trade without a source",
}
FOLDERS = {
    "published": "against printed rows, standards, worked examples",
    "independent": "against another library, or a solution written apart",
    "identity": "limits, balances, scaling laws, monotony, symmetry",
    "messages": "what the program says, word for word",
    "faces": "the command line as a user meets it",
    "architecture": "layers, sources, length of modules",
    "frozen": "own output kept to notice a change; no evidence that it is right",
    "doctest": "examples in the documentation of functions and on these pages",
}


def main(arguments: Sequence[str]) -> None:
    """Write both pages."""
    recorded = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    wrong = [row for row in recorded["rows"] if not row["agrees"]]
    if wrong:
        names = "\n".join(f"  {row['test']}: {row['quantity']}" for row in wrong)
        raise SystemExit(f"These rows do not agree with their source; the pages are not written.\n{names}")
    (HERE / "validation.md").write_text(validation_page(recorded), encoding="utf-8")
    (HERE / "sources.md").write_text(sources_page(recorded["rows"]), encoding="utf-8")


def validation_page(recorded: dict[str, Any]) -> str:
    """The page of all checks against the outside."""
    rows = distinct(recorded["rows"])
    by_subject: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_subject[subject_of(row["test"])].append(row)
    parts = ["# Validation", _introduction(recorded, rows, by_subject)]
    for subject in SUBJECTS:
        if by_subject[subject]:
            parts.append(_subject(subject, by_subject[subject]))
    parts.append(_facts(recorded["common_practice"]))
    return "\n\n".join(parts) + "\n"


def sources_page(rows: Iterable[Row]) -> str:
    """The page of all sources, each with the formulas that use it and the number of checks against it."""
    formulas: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for name, marks in sorted(all_formulas().items()):
        for mark in marks:
            formulas[mark.key][mark.status].append(name.removeprefix("wetpath."))
    checks = Counter(row["source"] for row in distinct(rows))
    parts = ["# Sources",
             "Every source the program names, what is computed by it, and how each formula is known: read in it, "
             "recalled (written from memory of it), derived here, exact (a textbook identity), or common "
             "practice without a source. Written by `docs/generate_validation.py`."]
    kinds = {"standard": "Standards", "paper": "Papers", "book": "Books", "data": "Data", "library": "Libraries",
             "derivation": "Derivations", "practice": "Common practice"}
    for kind, title in kinds.items():
        entries = [one for one in sorted(all_sources().values(), key=lambda one: one.key) if one.kind == kind]
        parts.append(f"## {title}\n\n" + "\n".join(_source(one, formulas[one.key], checks[one.key]) for one in entries))
    return "\n\n".join(parts) + "\n"


def all_formulas() -> dict[str, Any]:
    """Every marked formula of the program, after importing all of it."""
    for module in pkgutil.walk_packages(wetpath.__path__, "wetpath."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    return FORMULAS


def distinct(rows: Iterable[Row]) -> list[Row]:
    """Rows of one quantity of one test only once, the one nearest to its tolerance."""
    kept: dict[tuple[str, str, str], Row] = {}
    for row in rows:
        key = row["test"].split("[")[0], row["source"], row["quantity"]
        if key not in kept or _used(row) > _used(kept[key]):
            kept[key] = row
    return sorted(kept.values(), key=lambda row: (row["test"], row["quantity"]))


def subject_of(test: str) -> str:
    """Subject of a test by the path of its file.

    >>> subject_of("tests/published/physics/heat/test_heat.py::test_wall"), subject_of("tests/x/test_y.py::test_z")
    ('Heat', 'Other')
    """
    path = test.split("::")[0]
    return next(subject for subject, words in SUBJECTS.items() if any(word in path for word in words))


def _introduction(recorded: dict[str, Any], rows: Sequence[Row], by_subject: dict[str, list[Row]]) -> str:
    statuses = [status for status in STATUSES if any(row["status"] == status for row in rows)]
    head = "| subject | " + " | ".join(statuses) + " | all | largest share of its tolerance used |"
    lines = [head, "| --- |" + " ---: |" * (len(statuses) + 2)]
    for subject in SUBJECTS:
        some = by_subject[subject]
        if some:
            counts = [sum(row["status"] == status for row in some) for status in statuses]
            lines.append(f"| {subject} | {' | '.join(str(count or '') for count in counts)} | {len(some)} | "
                         f"{max(map(_used, some)):.0%} |")
    counts = [sum(row["status"] == status for row in rows) for status in statuses]
    lines.append(f"| all | {' | '.join(map(str, counts))} | {len(rows)} | |")
    kinds = recorded["kinds"]
    folders = "\n".join(f"| {name} | {kinds[name]} | {meaning} |" for name, meaning in FOLDERS.items() if name in kinds)
    meanings = "\n".join(f"- **{status}**: {STATUSES[status]}." for status in statuses)
    return (
        "Every number of the program that is compared with something outside it: a printed row, a standard, a worked "
        "example, another library. What stands here comes from the tests themselves, which fail when a difference is "
        "larger than allowed. How much a row proves depends on how its expected value is known:\n\n"
        f"{meanings}\n\n"
        "A recalled row proves that the formula gives what was remembered, not that the memory is right. A subject "
        "without rows that are read or computed rests on memory and derivation. [sources.md](sources.md) lists the "
        "sources and the formulas that use them.\n\n" + "\n".join(lines) + "\n\n"
        "All tests by kind, whether or not they compare with a number from outside:\n\n"
        f"| kind | tests | what they compare with |\n| --- | ---: | --- |\n{folders}\n\n"
        "Renew this page with `uv run pytest -n 3 --dist loadfile --validation-rows=build/validation.json`, then "
        "`uv run python docs/generate_validation.py build/validation.json`.")


def _subject(subject: str, rows: Sequence[Row]) -> str:
    parts = [f"## {subject}"]
    by_file: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_file[row["test"].split("::")[0]].append(row)
    for file, some in by_file.items():
        sources = dict.fromkeys(row["source"] for row in some)
        listed = "\n".join(f"- `{key}`: {_escaped(all_sources()[key].text)}" for key in sources)
        parts.append(f"### `{file}`\n\n{listed}\n\n{_table(some)}")
    return "\n\n".join(parts)


def _table(rows: Sequence[Row]) -> str:
    """The rows; more than fit on a screen are folded away behind the one that comes nearest to its tolerance."""
    head = ("| quantity | source | known | expected | ours | difference | allowed |\n"
            "| --- | --- | --- | ---: | ---: | ---: | ---: |\n")
    table = head + "\n".join(_line(row) for row in rows)
    if len(rows) <= MOST_ROWS:
        return table
    return (f"{len(rows)} rows; the one nearest to its tolerance:\n\n{head}{_line(max(rows, key=_used))}\n\n"
            f"<details>\n<summary>all {len(rows)} rows</summary>\n\n{table}\n\n</details>")


def _line(row: Row) -> str:
    unit = "" if row["unit"] in ("-", "") else f" {row['unit']}"
    off = row["ours"] - row["expected"]
    if row["tolerance_kind"] == "relative":
        difference = f"{off / abs(row['expected']):+.1e}" if row["expected"] else "0"
        allowed = f"{row['tolerance']:.0e} of it"
    else:
        difference, allowed = f"{off:+.1e}{unit}", f"{row['tolerance']:.2g}{unit}"
    return (f"| {_escaped(row['quantity'])} | `{row['source']}` | {row['status']} | {_number(row['expected'])}{unit} | "
            f"{_number(row['ours'])}{unit} | {difference} | {allowed} |")


def _facts(facts: dict[str, str]) -> str:
    lines = "\n".join(f"- {_escaped(text)} (`{test.split('::')[0]}`)" for test, text in sorted(facts.items()))
    return ("## Facts of the trade\n\nChecked by tests, each without a source: common practice.\n\n" + lines)


def _source(one: Reference, formulas: dict[str, list[str]], checks: int) -> str:
    text = f"- **{one.key}**: {_escaped(one.text.rstrip('.'))}."
    for status, names in formulas.items():
        text += f"\n  - {status}: {', '.join(f'`{name}`' for name in names)}"
    if checks:
        text += f"\n  - {checks} {'row' if checks == 1 else 'rows'} in [validation.md](validation.md)"
    return text


def _used(row: Row) -> float:
    room = row["tolerance"] * abs(row["expected"]) if row["tolerance_kind"] == "relative" else row["tolerance"]
    off = abs(row["ours"] - row["expected"])
    return off / room if room else float(off > 0)


def _number(value: float) -> str:
    return f"{value:.6g}" if math.isfinite(value) else str(value)


def _escaped(text: str) -> str:
    return text.replace("|", "\\|").replace("*", "\\*").replace("<", "&lt;")


if __name__ == "__main__":
    main(sys.argv[1:])
