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
        if path.suffix.casefold() in (".parquet", ".pq"):
            yield from _of_parquet(path, columns)
        else:
            yield from _of_csv(path, columns, mapping, account)
    except FileNotFoundError:
        raise _problem(path, "is not there") from None
    except UnicodeDecodeError:
        raise _problem(path, "is not UTF-8 text", "save the file with the encoding UTF-8") from None
    except pa.ArrowInvalid as error:
        raise _problem(path, f"cannot be read: {str(error).splitlines()[0]}",
                       "look whether separator and encoding are those of the mapping file") from None
    except OSError as error:
        raise _problem(path, f"cannot be read: {(error.strerror or str(error)).lower()}") from None


def _of_parquet(path: Path, columns: Sequence[str]) -> Iterator[pl.DataFrame]:
    with parquet.ParquetFile(path, memory_map=False) as file:
        _columns_are_there(path, file.schema_arrow.names, columns)
        for batch in file.iter_batches(batch_size=PIECE_ROWS, columns=list(columns), use_threads=False):
            yield _frame(pa.Table.from_batches([batch]))


def _of_csv(path: Path, columns: Sequence[str], mapping: MappingFile, account: Account) -> Iterator[pl.DataFrame]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        heading = [name.strip() for name in next(csv.reader(file, delimiter=mapping.separator), [])]
    _columns_are_there(path, heading, columns)
    names = []
    for number, name in enumerate(heading):
        if name in heading[:number]:
            if name in columns:
                account.note(f'{path.name} has the column "{name}" more than once; the first is read')
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
