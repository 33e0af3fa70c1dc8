"""CSV and Parquet files read piece by piece: memory holds one piece, whatever the size of the file."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import polars as pl
import pyarrow as pa  # type: ignore[import-untyped]
import pyarrow.csv as arrow_csv  # type: ignore[import-untyped]
import pyarrow.parquet as parquet  # type: ignore[import-untyped]

from wetpath.edge.mapping import MappingFile
from wetpath.errors import FileProblems, Problem, nearest_names
from wetpath.links.account import ROW, Account, Reason

#: Bytes of a CSV file, and rows of a Parquet file, in one piece.
PIECE_BYTES, PIECE_ROWS = 4 << 20, 65536


def pieces(path: Path, columns: Sequence[str], mapping: MappingFile, account: Account) -> Iterator[pl.DataFrame]:
    """Read the named columns of a file, piece by piece; CSV as texts, Parquet in its own types.

    Raises
    ------
    FileProblems
        Not there, not readable, or without a column, with the nearest one.
    """
    try:
        if _is_parquet(path):
            yield from _of_parquet(path, columns, account)
        else:
            yield from _of_csv(path, columns, mapping, account)
    except FileNotFoundError:
        raise _problem(path, "is not there") from None
    except UnicodeDecodeError:
        raise _problem(path, "is not UTF-8 text", "save the file with the encoding UTF-8") from None
    except pa.ArrowInvalid as error:
        do = ("look whether it is a whole Parquet file" if _is_parquet(path) else
              "look whether separator and encoding are those of the mapping file")
        raise _problem(path, f"cannot be read: {str(error).splitlines()[0]}", do) from None
    except OSError as error:
        raise _problem(path, f"cannot be read: {(error.strerror or str(error)).lower()}") from None


def _is_parquet(path: Path) -> bool:
    return path.suffix.casefold() in (".parquet", ".pq")


def _of_parquet(path: Path, columns: Sequence[str], account: Account) -> Iterator[pl.DataFrame]:
    with parquet.ParquetFile(path, memory_map=False) as file:
        schema = file.schema_arrow
        _columns_are_there(path, schema.names, columns)
        for name in columns:
            kind = schema.types[schema.names.index(name)]
            if not _is_readable(kind):
                raise _problem(path, f'has a column "{name}" of the type {kind}', "write numbers, texts or times there")
            if schema.names.count(name) > 1:
                _note_twice(path, name, account)
        for batch in file.iter_batches(batch_size=PIECE_ROWS, columns=list(columns), use_threads=False):
            first = [batch.schema.names.index(name) for name in columns]
            yield _frame(pa.Table.from_batches([batch.select(first)]))


def _is_readable(kind: pa.DataType) -> bool:
    """Whether a column of Parquet holds single numbers, texts or times."""
    kind = kind.value_type if pa.types.is_dictionary(kind) else kind
    return any(one(kind) for one in (
        pa.types.is_integer, pa.types.is_floating, pa.types.is_decimal128, pa.types.is_boolean, pa.types.is_null,
        pa.types.is_string, pa.types.is_large_string, pa.types.is_timestamp, pa.types.is_date))


def _note_twice(path: Path, name: str, account: Account) -> None:
    account.note(f'{path.name} has the column "{name}" more than once; the first is read')


def _of_csv(path: Path, columns: Sequence[str], mapping: MappingFile, account: Account) -> Iterator[pl.DataFrame]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        heading = [name.strip() for name in next(csv.reader(file, delimiter=mapping.separator), [])]
        rows_follow = bool(file.read(1))
    if not any(heading):
        raise _problem(path, "is empty, or its first line is", "the first line has to name the columns")
    _columns_are_there(path, heading, columns)
    if not rows_follow:
        return
    names = []
    for number, name in enumerate(heading):
        if name in heading[:number]:
            if name in columns:
                _note_twice(path, name, account)
            names.append(f"{name}\n{number}")       # no heading of a column has a line in it
        else:
            names.append(name)
    reader = arrow_csv.open_csv(
        path, read_options=arrow_csv.ReadOptions(block_size=PIECE_BYTES, column_names=names, skip_rows=1,
                                                 use_threads=False),
        parse_options=arrow_csv.ParseOptions(delimiter=mapping.separator, invalid_row_handler=_count_broken(account)),
        convert_options=arrow_csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()),
                                                 include_columns=list(columns), strings_can_be_null=False))
    with reader:
        for batch in reader:
            yield _frame(pa.Table.from_batches([batch]))


def _count_broken(account: Account) -> Callable[[object], str]:
    def broken(_: object) -> str:
        account.drop(ROW, Reason.BROKEN, number=1)
        return "skip"

    return broken


def _frame(table: pa.Table) -> pl.DataFrame:
    found = pl.from_arrow(table)
    assert isinstance(found, pl.DataFrame)
    return found


def _columns_are_there(path: Path, names: Sequence[str], columns: Sequence[str]) -> None:
    problems = []
    for name in columns:
        if name not in names:
            near = nearest_names(name, names, at_most=1)
            do = f'did you mean "{near[0]}"?' if near else f"it has {', '.join(names[:12])}"
            problems.append(Problem(f'has no column "{name}"', file=str(path), do=do))
    if problems:
        raise FileProblems(problems)


def _problem(path: Path, text: str, do: str = "") -> FileProblems:
    return FileProblems([Problem(text, file=str(path), do=do)])
