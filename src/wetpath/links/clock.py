"""Time stamps of files: local time to UTC, and which rows to keep where the clock did not simply go on."""

from __future__ import annotations

import time
from bisect import bisect_left
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wetpath.edge.mapping import COUNTS, ISO
from wetpath.errors import InputError
from wetpath.links.account import Account, Reason

Array = NDArray[np.float64]

#: A time stamp further ahead of this machine's clock is an error of a clock [s].
AHEAD = 86400.0
_OFFSET = r"(?:Z|[+-]\d\d:?\d\d)$"
_WHOLE_HOURS = r"(:\d\d(?:\.\d+)?[+-]\d\d)$"           # an offset that tells no minutes
_ISO_PATTERNS = ("%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%dT%H:%M")


def utc_seconds(stamps: pl.Series, written: str, zone: ZoneInfo, account: Account, tag: str) -> Array:
    """Times of a column in UTC seconds since 1970; NaN, counted by reason, where there is none.

    Parameters
    ----------
    stamps : Series
        Texts, numbers or times; times of a Parquet file are what they are, whatever the format says.
    written : str
        Format of the mapping file.
    zone : ZoneInfo
        Of texts and times without an offset.
    account : Account
    tag : str
        What the account calls these readings.

    Notes
    -----
    A local time that comes twice when summer time ends, or never when it begins, is not used: the file does not say
    which it is. `InputError` when the column holds numbers and the format does not say what they count.
    """
    if stamps.dtype == pl.Null:
        stamps = stamps.cast(pl.String)
    if stamps.dtype == pl.Date:
        stamps = stamps.cast(pl.Datetime("ns"))
    if isinstance(stamps.dtype, pl.Datetime):
        if stamps.dtype.time_zone is not None:
            return _seconds(stamps.dt.convert_time_zone("UTC"), account, tag)
        return _from_local(stamps, zone, account, tag)
    if written in COUNTS:
        found = stamps.cast(pl.Float64, strict=False).to_numpy() * COUNTS[written]
        account.drop(tag, Reason.NO_TIME, number=int(np.isnan(found).sum()))
        return np.asarray(found, float)
    if written == ISO and stamps.dtype.is_numeric():
        raise InputError("is not how times are written here: the column of times holds numbers", field="time_format",
                         value=f'"{ISO}"', do="write in the mapping file what they count: " +
                         " or ".join(f'time_format = "{one}"' for one in COUNTS))
    texts = stamps.cast(pl.String).str.strip_chars()
    if written != ISO:
        written = written.replace(".%f", "%.f")         # a fraction of any length
        if "%z" in written:
            return _seconds(texts.str.to_datetime(written, strict=False, time_unit="ns"), account, tag)
        return _from_local(texts.str.to_datetime(written, strict=False, time_unit="ns"), zone, account, tag)
    texts = texts.str.replace(" ", "T", literal=True).str.replace(r"Z$", "+00:00").str.replace(" ", "", literal=True)
    texts = texts.str.replace(_WHOLE_HOURS, "${1}:00")
    fixed = texts.str.contains(_OFFSET).fill_null(False)
    if fixed.all():
        return _seconds(_iso(texts, offset=True), account, tag)
    if not fixed.any():
        return _from_local(_iso(texts, offset=False), zone, account, tag)
    seconds = np.empty(len(texts))
    chosen = fixed.to_numpy()
    seconds[chosen] = _seconds(_iso(texts.filter(fixed), offset=True), account, tag)
    seconds[~chosen] = _from_local(_iso(texts.filter(~fixed), offset=False), zone, account, tag)
    return seconds


def _iso(texts: pl.Series, *, offset: bool) -> pl.Series:
    found: pl.Series | None = None
    for pattern in _ISO_PATTERNS:
        read = texts.str.to_datetime(pattern + ("%z" if offset else ""), strict=False, time_unit="ns")
        found = read if found is None else found.fill_null(read)
        if not found.has_nulls():
            break
    assert found is not None
    return found


def _seconds(stamps: pl.Series, account: Account, tag: str) -> Array:
    account.drop(tag, Reason.NO_TIME, number=stamps.null_count())
    return _exact(stamps)


def _exact(stamps: pl.Series) -> Array:
    """Seconds of times, NaN for none, rounded once."""
    whole = stamps.dt.epoch("ns")
    found = seconds_of(whole.fill_null(0).to_numpy())
    found[whole.is_null().to_numpy()] = np.nan
    return found


def seconds_of(nanoseconds: NDArray[np.int64]) -> Array:
    """Seconds of whole nanoseconds, rounded once.

    >>> float(seconds_of(np.array([1768021200250000000]))[0])
    1768021200.25
    """
    return np.asarray(nanoseconds // 10**9 + (nanoseconds % 10**9) / 1e9, float)


def _from_local(stamps: pl.Series, zone: ZoneInfo, account: Account, tag: str) -> Array:
    read = stamps.cast(pl.Datetime("ns"))
    if zone.key == "UTC":
        return _seconds(read, account, tag)
    sure = read.dt.replace_time_zone(zone.key, ambiguous="null", non_existent="null")
    doubtful = (sure.is_null() & read.is_not_null()).to_numpy()
    if doubtful.any():
        either = read.dt.replace_time_zone(zone.key, ambiguous="earliest", non_existent="null")
        first = _exact(either)
        account.drop(tag, Reason.TWICE, first[doubtful & ~np.isnan(first)])
        account.drop(tag, Reason.NEVER, number=int((doubtful & np.isnan(first)).sum()))
    account.drop(tag, Reason.NO_TIME, number=read.null_count())
    return _exact(sure)


def rising(times: Array, last: float, account: Account, tag: str) -> NDArray[np.bool_]:
    """Which time stamps to keep, so that time rises and the fewest are left out; the others are counted by reason.

    Parameters
    ----------
    times : array (n,) [UTC seconds]
        In the order of the file; NaN: not kept, and counted before.
    last : float
        Time of the last one kept before these.
    account, tag
        Where what is left out is counted, and under which name.
    """
    keep = ~np.isnan(times)
    ahead = keep & (times > time.time() + AHEAD)
    account.drop(tag, Reason.AHEAD, times[ahead])
    keep &= ~ahead
    chosen = np.flatnonzero(keep)
    later = times[chosen]
    if not later.size or (later[0] > last and (np.diff(later) > 0).all()):
        return keep
    fresh = later > last
    path = np.zeros(later.size, bool)
    path[np.flatnonzero(fresh)[_longest_rising(later[fresh])]] = True
    left = ~path
    seen = np.isin(later, np.append(later[path], last)) & left
    account.drop(tag, Reason.DUPLICATE, later[seen])
    account.drop(tag, Reason.BACKWARDS, later[left & ~seen])
    keep[chosen[left]] = False
    return keep


def _longest_rising(values: Array) -> NDArray[np.int64]:
    """Places of the longest strictly rising part of a row of numbers, in order (patience sorting).

    >>> _longest_rising(np.array([1.0, 2.0, 9.0, 3.0, 3.0, 4.0])).tolist()
    [0, 1, 3, 5]
    """
    tails: list[float] = []
    places: list[int] = []
    before = np.full(values.size, -1, np.int64)
    for place, value in enumerate(values.tolist()):
        at = bisect_left(tails, value)
        if at == len(tails):
            tails.append(value)
            places.append(place)
        elif value < tails[at]:
            tails[at], places[at] = value, place
        before[place] = places[at - 1] if at else -1
    found = []
    place = places[-1] if places else -1
    while place >= 0:
        found.append(place)
        place = int(before[place])
    return np.array(found[::-1], np.int64)
