"""Files of historians, messy in every way told, against what their rows say by hand and the standard library."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("pyarrow")
import polars as pl

from wetpath.edge.mapping import MappingFile
from wetpath.errors import FileProblems, InputError
from wetpath.links.account import ROW, Account, Reason
from wetpath.links.alignment import Aligner
from wetpath.links.clock import _longest_rising, utc_seconds
from wetpath.links.historian import Historian
from wetpath.watching.samples import Samples, Signal

P1, FLOW, T1 = Signal.SUCTION_PRESSURE, Signal.FLOW, Signal.SUCTION_TEMPERATURE


def mapping(**more: Any) -> MappingFile:
    tags = more.pop("tags", [
        {"tag": "PT1", "pump": "P", "signal": "suction_pressure", "unit": "barg", "instrument_range": "0 16 bar g"},
        {"tag": "FT1", "pump": "P", "signal": "flow", "unit": "m3/h"},
        {"tag": "TT1", "pump": "P", "signal": "suction_temperature", "unit": "degC"}])
    return MappingFile.model_validate({"name": "plant", "atmosphere": "1 bar a", "tags": tags, **more},
                                      context={"texts": True})


def read(text: str, asked: MappingFile, folder: Path, name: str = "data.csv") -> tuple[Samples, Account]:
    (folder / name).write_text(text, encoding="utf-8")
    one = Historian([folder / name], asked, "P")
    return Samples.joined(list(one)), one.account


def seconds(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()


def test_wide_file_with_units_gauge_and_gaps(tmp_path: Path) -> None:
    samples, account = read(
        "time,FT1,PT1,TT1\n"
        "2026-01-10T00:00:00Z,36.0,4.0,20\n"
        "2026-01-10T00:00:01Z,,4.1,\n"
        "2026-01-10T00:00:02Z,18.0,Bad Input,21\n"
        "2026-01-10T00:00:03Z,18.0,,21\n"
        "2026-01-10T00:01:00Z,,4.2,\n", mapping(), tmp_path)
    begin = seconds("2026-01-10T00:00:00+00:00")
    assert samples.time.tolist() == [begin, begin + 1, begin + 2, begin + 3, begin + 60]
    assert np.allclose(samples.values[FLOW], [0.01, 0.01, 0.005, 0.005, np.nan], equal_nan=True)
    assert np.allclose(samples.values[P1], [5.0e5, 5.1e5, np.nan, np.nan, 5.2e5], equal_nan=True)
    assert np.allclose(samples.values[T1], [293.15, 293.15, 294.15, 294.15, np.nan], equal_nan=True)
    assert account.number(Reason.NO_NUMBER, "PT1") == 1
    assert (account.gaps, account.longest_gap) == (1, 57.0)
    assert account.used == {"PT1": 3, "FT1": 3, "TT1": 3}


def test_quality_range_duplicates_and_clock(tmp_path: Path) -> None:
    asked = mapping(quality_column="quality", good=["Good", "192"])
    samples, account = read(
        "time,PT1,FT1,TT1,quality\n"
        "2026-01-10T00:00:00Z,4,36,20,Good\n"
        "2026-01-10T00:00:01Z,4,36,20,Bad\n"
        "2026-01-10T00:00:02Z,17,36,20,192\n"
        "2026-01-10T00:00:02Z,9,36,20,good\n"
        "2026-01-10T00:00:03Z,4,36,20, GOOD \n"
        "2025-01-10T00:00:00Z,4,36,20,Good\n"
        "2026-01-10T00:00:04Z,4,36,20,Good\n"
        "2099-01-10T00:00:05Z,4,36,20,Good\n"
        "2026-01-10T00:00:06Z,4,36,20,Good\n"
        "yesterday,4,36,20,Good\n", asked, tmp_path)
    begin = seconds("2026-01-10T00:00:00+00:00")
    assert (samples.time - begin).tolist() == [0, 1, 2, 3, 4, 6]
    assert np.isnan(samples.values[P1]).tolist() == [False, True, True, False, False, False]
    assert account.number(Reason.QUALITY) == 3
    assert account.number(Reason.RANGE, "PT1") == 1
    assert {reason: account.number(reason, ROW) for reason in (
        Reason.DUPLICATE, Reason.BACKWARDS, Reason.AHEAD, Reason.NO_TIME)} == {
        Reason.DUPLICATE: 1, Reason.BACKWARDS: 1, Reason.AHEAD: 1, Reason.NO_TIME: 1}


def test_clock_that_was_ahead_for_a_while_costs_only_its_own_rows(tmp_path: Path) -> None:
    rows = [(minute, 0) for minute in range(100)]
    rows[40:45] = [(minute, 3) for minute in range(40, 45)]        # five rows three hours ahead
    text = "time,PT1,FT1,TT1\n" + "".join(
        f"2026-01-10T{hour + minute // 60:02d}:{minute % 60:02d}:00Z,4,36,20\n" for minute, hour in rows)
    samples, account = read(text, mapping(), tmp_path)
    assert samples.count == 95
    assert account.number(Reason.BACKWARDS, ROW) == 5


def test_changed_units(tmp_path: Path) -> None:
    asked = mapping(layout="a row for each reading", unit_column="unit")
    samples, account = read(
        "time,tag,value,unit\n"
        "2026-01-10T00:00:00Z,PT1,4.0,bar\n"
        "2026-01-10T00:00:01Z,PT1,58.0151,psi g\n"
        "2026-01-10T00:00:02Z,PT1,58.0151,psi\n"
        "2026-01-10T00:00:03Z,PT1,400,bananas\n"
        "2026-01-10T00:00:03Z,TT1,68,degF\n"
        "2026-01-10T00:00:04Z,XX9,68,degF\n", asked, tmp_path)
    assert np.allclose(samples.values[P1], [5e5, 5e5, 5e5, np.nan], rtol=1e-6, equal_nan=True)
    assert samples.values[T1][-1] == pytest.approx(293.15)
    assert account.converted == {("PT1", "psi g"): 1, ("PT1", "psi"): 1, ("TT1", "degF"): 1}
    assert account.number(Reason.UNIT, "PT1") == 1
    assert account.notes == ['the tag "FT1" does not occur with a usable time']


def test_unit_change_that_the_mapping_tells(tmp_path: Path) -> None:
    tags = [{"tag": "PT1", "pump": "P", "signal": "suction_pressure", "unit": "bar g",
             "unit_changes": [{"since": "2026-01-10T01:00:01+01:00", "unit": "kPa a"}]}]
    samples, _ = read("time,PT1\n2026-01-10T00:00:00Z,4\n2026-01-10T00:00:01Z,500\n", mapping(tags=tags), tmp_path)
    assert samples.values[P1].tolist() == [5e5, 5e5]


def test_unit_change_that_nobody_told_is_suspected(tmp_path: Path) -> None:
    _, account = read("time,PT1,FT1,TT1\n" + "".join(f"2026-01-10T00:00:{one:02d}Z,{58 + one % 3},36,20\n"
                                                      for one in range(20)), mapping(), tmp_path)
    assert account.number(Reason.RANGE, "PT1") == 20
    assert account.notes == [
        "readings of PT1 outside the range of its instrument would be inside it in Pa g, mbar g, hPa g, kPa g, psi g, "
        "torr g, mmHg g, inHg g: if the unit was changed, tell it by unit_changes"]
    _, account = read("time,PT1,FT1,TT1\n" + "".join(f"2026-01-10T00:00:{one:02d}Z,{58 if one % 2 else 4},36,20\n"
                                                      for one in range(20)), mapping(), tmp_path)
    assert account.number(Reason.RANGE, "PT1") == 10
    assert not account.notes


@pytest.mark.parametrize("order", ["mixed", "tag by tag"])
def test_row_layout_in_any_order(order: str, tmp_path: Path) -> None:
    rows = [(second + shift, tag, value) for tag, shift, value in (("PT1", 0.0, "4"), ("FT1", 0.3, "36"),
                                                                   ("TT1", 0.7, "20")) for second in range(500)]
    if order == "mixed":
        rows.sort()
    text = "when;what;number\n" + "".join(
        f"{1_700_000_000_000 + round(1000 * when)};{tag};{value},0\n" for when, tag, value in rows)
    asked = mapping(layout="a row for each reading", separator=";", decimal_mark=",", time_column="when",
                    tag_column="what", value_column="number", time_format="milliseconds since 1970", max_age="2 s")
    samples, account = read(text, asked, tmp_path)
    assert samples.count == 1500
    assert not account.not_used
    assert not np.isnan(samples.values[P1]).any()
    assert np.isnan(samples.values[T1]).sum() == 2                  # before its first reading
    stepped = mapping(layout="a row for each reading", separator=";", decimal_mark=",", time_column="when",
                      tag_column="what", value_column="number", time_format="milliseconds since 1970", step="1 s")
    samples, _ = read(text, stepped, tmp_path)
    assert samples.time.tolist() == [1_700_000_000.0 + one for one in range(501)]
    assert np.isnan(samples.values[T1]).tolist() == [True] + [False] * 500


def test_local_times_of_summer_and_winter_against_the_standard_library(tmp_path: Path) -> None:
    zone = ZoneInfo("Europe/Berlin")
    begin = datetime(2026, 3, 28, 12, tzinfo=UTC)
    instants = [begin + timedelta(minutes=10 * one) for one in range(6 * 48)]
    instants += [datetime(2026, 10, 24, 12, tzinfo=UTC) + timedelta(minutes=10 * one) for one in range(6 * 48)]
    past = [one for one in instants if one.timestamp() < datetime.now().timestamp()]
    assert len(past) > 400
    account = Account()
    texts = pl.Series([one.astimezone(zone).strftime("%Y-%m-%d %H:%M:%S") for one in past])
    found = utc_seconds(texts, "ISO 8601", zone, account, "t")
    twice = [one.astimezone(zone).replace(fold=0).utcoffset() != one.astimezone(zone).replace(fold=1).utcoffset()
             for one in past]
    expected = [np.nan if double else one.timestamp() for one, double in zip(past, twice, strict=True)]
    assert np.array_equal(found, expected, equal_nan=True)
    assert account.number(Reason.TWICE) == sum(twice) == 12
    assert account.number(Reason.NEVER) == 0
    never = utc_seconds(pl.Series(["2026-03-29 02:30:00", "2026-03-29 03:30"]), "ISO 8601", zone, account, "t")
    assert np.isnan(never).tolist() == [True, False]
    assert account.number(Reason.NEVER) == 1


def test_offsets_in_the_text_win_over_the_zone() -> None:
    account = Account()
    texts = pl.Series(["2026-01-10T01:00:00+01:00", "2026-01-10 00:00:00Z", "2026-01-10T00:00:00.250", "", None, "?"])
    found = utc_seconds(texts, "ISO 8601", ZoneInfo("America/New_York"), account, "t")
    begin = seconds("2026-01-10T00:00:00+00:00")
    assert np.array_equal(found, [begin, begin, begin + 5 * 3600 + 0.25, np.nan, np.nan, np.nan], equal_nan=True)
    assert account.number(Reason.NO_TIME) == 3


def test_own_pattern_of_times(tmp_path: Path) -> None:
    samples, _ = read("time,PT1,FT1,TT1\n10.01.2026 13:00:00,4,36,20\n", mapping(
        time_format="%d.%m.%Y %H:%M:%S", time_zone="Europe/Berlin"), tmp_path)
    assert samples.time.tolist() == [seconds("2026-01-10T12:00:00+00:00")]


@pytest.mark.parametrize("zone", [None, "Europe/Berlin"])
def test_parquet_with_times_of_its_own(zone: str | None, tmp_path: Path) -> None:
    stamps = pl.Series([datetime(2026, 1, 10, 13), datetime(2026, 1, 10, 13, 0, 1)]).cast(pl.Datetime("us"))
    if zone:
        stamps = stamps.dt.replace_time_zone(zone)
    pl.DataFrame({"time": stamps, "PT1": [4.0, None], "FT1": [36, 18], "TT1": ["20", "x"]}).write_parquet(
        tmp_path / "a.parquet")
    one = Historian([tmp_path / "a.parquet"], mapping(), "P")
    samples = Samples.joined(list(one))
    assert samples.time[0] == seconds("2026-01-10T12:00:00+00:00" if zone else "2026-01-10T13:00:00+00:00")
    assert np.allclose(samples.values[P1], [5e5, 5e5])
    assert np.allclose(samples.values[FLOW], [0.01, 0.005])
    assert one.account.number(Reason.NO_NUMBER, "TT1") == 1


def test_double_columns_broken_lines_and_several_files(tmp_path: Path) -> None:
    (tmp_path / "1.csv").write_text("time,PT1,PT1,FT1,TT1\n2026-01-10T00:00:00Z,4,9,36,20\nnonsense\n",
                                    encoding="utf-8-sig")
    (tmp_path / "2.csv").write_text("time,TT1,FT1,PT1\n2026-01-10T00:00:01Z,20,36,5\n")
    one = Historian([tmp_path / "1.csv", tmp_path / "2.csv"], mapping(), "P")
    samples = Samples.joined(list(one))
    assert np.allclose(samples.values[P1], [5e5, 6e5])
    assert one.account.number(Reason.BROKEN) == 1
    assert one.account.notes == ['1.csv has the column "PT1" more than once; the first is read']


def test_missing_column_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(FileProblems) as told:
        read("time,PT1,FT_1,TT1\n", mapping(), tmp_path)
    assert str(told.value) == f'{tmp_path / "data.csv"}: has no column "FT1"\n  do:  did you mean "FT_1"?'


@pytest.mark.parametrize(("make", "words"), [
    (lambda path: None, "is not there"),
    (lambda path: path.write_bytes("time,PT1,FT1,TT1\n2026-01-10T00:00:00Z,4°,1,2\n".encode("latin-1")), "UTF"),
    (lambda path: path.mkdir(), "is a directory"),
    (lambda path: path.write_bytes(b""), "is empty")])
def test_unreadable_files_are_told(make: Callable[[Path], object], words: str, tmp_path: Path) -> None:
    make(tmp_path / "x.csv")
    with pytest.raises(FileProblems, match=words):
        list(Historian([tmp_path / "x.csv"], mapping(), "P"))


@pytest.mark.parametrize("text", ["", "\n\n"])
def test_empty_file_says_that_it_is_empty(text: str, tmp_path: Path) -> None:
    with pytest.raises(FileProblems, match=r"is empty, or its first line is\n  do:  the first line has to name"):
        read(text, mapping(), tmp_path)


def test_heading_without_a_row_is_a_file_without_readings(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("time,PT1,FT1,TT1", encoding="utf-8")
    assert list(Historian([tmp_path / "a.csv"], mapping(), "P")) == []


def test_with_a_decimal_comma_a_point_makes_no_number(tmp_path: Path) -> None:
    """1.234 may be a thousand and more there, or one and a quarter: the file does not say which."""
    samples, account = read("time;PT1;FT1;TT1\n2026-01-10T00:00:00Z;4,5;1.234;20\n"
                            "2026-01-10T00:00:01Z;4,5;1.234,5;20\n",
                            mapping(separator=";", decimal_mark=","), tmp_path)
    assert samples.values[P1].tolist() == [5.5e5, 5.5e5]
    assert np.isnan(samples.values[FLOW]).all()
    assert account.number(Reason.NO_NUMBER, "FT1") == 2


def test_numbers_of_quality_count_with_and_without_decimals(tmp_path: Path) -> None:
    pl.DataFrame({"time": ["2026-01-10T00:00:00Z", "2026-01-10T00:00:01Z"], "PT1": [4.0, 4.0], "FT1": [36.0, 36.0],
                  "TT1": [20.0, 20.0], "q": [192.0, None]}).write_parquet(tmp_path / "a.parquet")
    one = Historian([tmp_path / "a.parquet"], mapping(quality_column="q", good=["192"]), "P")
    assert np.isnan(Samples.joined(list(one)).values[P1]).tolist() == [False, True]


def test_fraction_of_a_second_in_a_pattern(tmp_path: Path) -> None:
    samples, _ = read("time,PT1,FT1,TT1\n10.01.2026 13:00:00.25,4,36,20\n10.01.2026 13:00:00.5,4,36,20\n", mapping(
        time_format="%d.%m.%Y %H:%M:%S.%f"), tmp_path)
    begin = seconds("2026-01-10T13:00:00+00:00")
    assert samples.time.tolist() == [begin + 0.25, begin + 0.5]
    with pytest.raises(ValueError, match="has a fraction that is not behind a point"):
        mapping(time_format="%d.%m.%Y %H:%M:%S,%f")


def test_offset_of_whole_hours_as_data_bases_write_it() -> None:
    found = utc_seconds(pl.Series(["2026-01-10 01:00:00+01", "2026-01-09 19:00:00.5-05"]), "ISO 8601", ZoneInfo("UTC"),
                        Account(), "t")
    assert found.tolist() == [seconds("2026-01-10T00:00:00+00:00"), seconds("2026-01-10T00:00:00.5+00:00")]


def test_numbers_as_times_need_a_format_that_says_what_they_count() -> None:
    with pytest.raises(InputError, match=r'time_format = "ISO 8601" is not how times are written here'):
        utc_seconds(pl.Series([46032.5]), "ISO 8601", ZoneInfo("UTC"), Account(), "t")
    own = pl.Series([datetime(2026, 1, 10)])
    assert utc_seconds(own, "seconds since 1970", ZoneInfo("UTC"), Account(), "t").tolist() == [
        seconds("2026-01-10T00:00:00+00:00")]


def test_milliseconds_taken_for_seconds_are_counted_not_a_crash(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("time,PT1,FT1,TT1\n1768003200000,4,36,20\n")
    one = Historian([tmp_path / "a.csv"], mapping(time_format="seconds since 1970"), "P")
    assert list(one) == []
    assert one.account.lines() == ("1 readings of whole row not used: time stamp in the future, 1.768e+12 s since 1970 "
                                   "to 1.768e+12 s since 1970",)


def test_parquet_of_many_types(tmp_path: Path) -> None:
    """Nanoseconds, decimals, categories, small integers; against the numbers written by hand."""
    from decimal import Decimal

    import pyarrow as pa
    from pyarrow import parquet

    begin = 1_768_003_200
    table = pa.Table.from_arrays(
        [pa.array([begin * 10**9, begin * 10**9 + 500_000_000, None], pa.timestamp("ns")),
         pa.array([Decimal("4.0"), Decimal("4.5"), None], pa.decimal128(10, 3)), pa.array([9.0, 9.0, 9.0]),
         pa.array([36, 18, 9], pa.uint8()), pa.array(["20", "21", None]).dictionary_encode()],
        names=["time", "PT1", "PT1", "FT1", "TT1"])
    parquet.write_table(table, tmp_path / "a.parquet")
    one = Historian([tmp_path / "a.parquet"], mapping(), "P")
    samples = Samples.joined(list(one))
    assert samples.time.tolist() == [begin, begin + 0.5]
    assert samples.values[P1].tolist() == [5e5, 5.5e5]
    assert np.allclose(samples.values[FLOW], [0.01, 0.005])
    assert np.allclose(samples.values[T1], [293.15, 294.15])
    assert one.account.number(Reason.NO_TIME) == 1
    assert one.account.notes == ['a.parquet has the column "PT1" more than once; the first is read']


@pytest.mark.parametrize("kind", ["list", "decimal256", "half"])
def test_column_of_a_type_that_is_no_reading(kind: str, tmp_path: Path) -> None:
    import pyarrow as pa
    from pyarrow import parquet

    column = {"list": pa.array([[36.0]]), "decimal256": pa.array([36]).cast(pa.decimal256(40, 2)),
              "half": pa.array([36.0]).cast(pa.float16())}[kind]
    parquet.write_table(pa.table({"time": ["2026-01-10T00:00:00Z"], "PT1": [4.0], "FT1": column, "TT1": [20.0]}),
                        tmp_path / "a.parquet")
    one = Historian([tmp_path / "a.parquet"], mapping(), "P")
    if kind == "half":
        assert Samples.joined(list(one)).values[FLOW].tolist() == pytest.approx([0.01])
        return
    with pytest.raises(FileProblems, match='has a column "FT1" of the type'):
        list(one)


def test_each_unit_change_counts_its_own_readings(tmp_path: Path) -> None:
    tags = [{"tag": "PT1", "pump": "P", "signal": "suction_pressure", "unit": "bar g",
             "unit_changes": [{"since": "2026-01-10T00:00:01Z", "unit": "kPa a"},
                              {"since": "2026-01-10T00:00:02Z", "unit": "Pa a"}]}]
    samples, account = read("time,PT1\n2026-01-10T00:00:00Z,4\n2026-01-10T00:00:01Z,500\n2026-01-10T00:00:02Z,500000\n",
                            mapping(tags=tags), tmp_path)
    assert samples.values[P1].tolist() == [5e5, 5e5, 5e5]
    assert account.converted == {("PT1", "kPa a"): 1, ("PT1", "Pa a"): 1}


@given(st.lists(st.integers(0, 30), max_size=40))
@settings(max_examples=200, deadline=None)
def test_longest_rising_part_against_the_plain_search(values: list[int]) -> None:
    best = [1] * len(values)
    for place, value in enumerate(values):
        best[place] += max((best[one] for one in range(place) if values[one] < value), default=0)
    found = _longest_rising(np.array(values, float))
    chosen = [values[one] for one in found]
    assert chosen == sorted(set(chosen))
    assert len(found) == max(best, default=0)


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_alignment_against_a_plain_walk_whatever_the_pieces(data: Any) -> None:
    ages = {P1: 3.0, FLOW: 1.5}
    events = {one: sorted(data.draw(st.sets(st.integers(0, 40), max_size=20))) for one in ages}
    values = {one: [float("nan") if data.draw(st.booleans()) else float(place) for place in range(len(times))]
              for one, times in events.items()}
    cuts = sorted(data.draw(st.sets(st.integers(0, 40), max_size=4)))
    aligner = Aligner(ages)
    parts, before = [], -1
    for cut in [*cuts, 99]:
        for one, times in events.items():
            chosen = [place for place, time in enumerate(times) if before < time <= cut]
            aligner.add(one, np.array([float(times[place]) for place in chosen]),
                        np.array([values[one][place] for place in chosen]))
        if (part := aligner.until(float(cut))) is not None:
            parts.append(part)
        before = cut
    samples = Samples.joined(parts)
    assert samples.time.tolist() == sorted({*events[P1], *events[FLOW]})
    for one, times in events.items():
        for time, value in zip(samples.time.tolist(), samples.values.get(one, samples.time).tolist(), strict=True):
            last = [place for place, when in enumerate(times) if when <= time]
            expected = values[one][last[-1]] if last and time - times[last[-1]] <= ages[one] else float("nan")
            assert value == expected or (np.isnan(value) and np.isnan(expected))


BIG = """
import resource, sys
from pathlib import Path
from wetpath.edge.files import load_document
from wetpath.edge.mapping import MappingFile
from wetpath.links.historian import Historian
files, mapping = [Path(one) for one in sys.argv[2:]], load_document(sys.argv[1], MappingFile)
begin = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
count = sum(part.count for part in Historian(files, mapping, "P"))
print(count, begin, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


@pytest.mark.parametrize("layout", ["a column for each tag", "a row for each reading"])
def test_memory_does_not_grow_with_the_file(layout: str, tmp_path: Path) -> None:
    """A file read four times as long as another takes hardly more memory."""
    from wetpath.edge.files import dump_document

    asked = mapping(layout=layout, time_format="seconds since 1970")
    (tmp_path / "mapping.toml").write_text(dump_document(asked), encoding="utf-8")
    rows = 150_000
    peaks = []
    for times in (1, 4):
        files = []
        for number in range(times):
            when = pl.Series("time", 1_700_000_000 + number * rows + np.arange(rows))
            values = {name: pl.Series(np.full(rows, value)) for name, value in (("PT1", 4.0), ("FT1", 36.0),
                                                                                ("TT1", 20.0))}
            frame = pl.DataFrame({"time": when, **values})
            if layout != "a column for each tag":
                frame = frame.unpivot(index="time", variable_name="tag")
            files.append(tmp_path / f"{number}.csv")
            frame.write_csv(files[-1])
        told = subprocess.run([sys.executable, "-c", BIG, str(tmp_path / "mapping.toml"), *map(str, files)],
                              capture_output=True, text=True, check=True).stdout.split()
        count, begin, peak = (int(one) for one in told)
        assert count == times * rows
        peaks.append((peak - begin) / 1024)
    assert peaks[1] < peaks[0] + 40, peaks
