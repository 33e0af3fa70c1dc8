"""JSON Schemas of every kind of file of ours, and of the records that are written."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

from wetpath.errors import UnknownName

_FOLDER = files("wetpath").joinpath("edge", "schemas")
_SUFFIX = ".schema.json"


def kinds() -> tuple[str, ...]:
    """Kinds of file that have a schema."""
    return tuple(sorted(_kind(entry.name) for entry in _FOLDER.iterdir() if entry.name.endswith(_SUFFIX)))


def schema_text(kind: str) -> str:
    """Return the schema of a kind, as it is kept with the program."""
    for entry in _FOLDER.iterdir():
        if entry.name.endswith(_SUFFIX) and _kind(entry.name) == kind:
            return entry.read_text(encoding="utf-8")
    raise UnknownName("kind of file", kind, kinds())


def _kind(name: str) -> str:
    """What stands before the version in the name of a schema."""
    return name.removesuffix(_SUFFIX).rpartition("-")[0]


def write_schemas(folder: Path) -> list[Path]:
    """Write all schemas anew from the models; the kept ones are to be equal."""
    from wetpath.edge import files as documents
    from wetpath.services import (
        check_file,  # noqa: F401  (knows every kind of document)
        coupling_record,
        fleet_record,
        investigation_record,
        lifecycle,
        protection,
        record,
        remedies_record,
        selection_record,
        sensitivity,
        uncertainty,
        upsets,
        watch,
        window_record,
    )

    folder.mkdir(parents=True, exist_ok=True)
    written = documents.write_schemas(folder)
    for name, model in ((record.FORMAT, record.Record),
                        (coupling_record.FORMAT, coupling_record.CouplingStudyRecord),
                        (window_record.FORMAT, window_record.WindowRecord),
                        (investigation_record.FORMAT, investigation_record.InvestigationRecord),
                        (fleet_record.FORMAT, fleet_record.FleetRecord),
                        (lifecycle.FORMAT, lifecycle.LifeCycleRecord),
                        (protection.FORMAT, protection.PlanRecord), (upsets.FORMAT, upsets.UpsetRecord),
                        (remedies_record.FORMAT, remedies_record.RemediesRecord),
                        (selection_record.FORMAT, selection_record.SelectionRecord),
                        (sensitivity.FORMAT, sensitivity.WorthRecord),
                        (uncertainty.FORMAT, uncertainty.UncertaintyRecord),
                        (watch.FORMAT, watch.WatchRecord)):
        schema = {"$schema": "https://json-schema.org/draft/2020-12/schema",
                  **model.model_json_schema(mode="serialization")}
        target = folder / f"{name.replace('/', '-')}{_SUFFIX}"
        target.write_text(json.dumps(schema, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
        written.append(target)
    return written


if __name__ == "__main__":
    for path in write_schemas(Path(str(_FOLDER))):
        print(path)
