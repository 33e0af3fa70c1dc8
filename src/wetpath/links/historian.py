"""Measured values out of the files of a historian, messy as they are, as samples of one pump."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wetpath.edge.mapping import MappedTag, MappingFile, Scale
from wetpath.edge.quantities import PRESSURE
from wetpath.errors import InputError, SourceError, UnitError
from wetpath.links.account import ROW, Account, Reason
from wetpath.links.alignment import Aligner
from wetpath.links.clock import rising, utc_seconds
from wetpath.links.tables_in import pieces
from wetpath.watching.samples import Samples, Signal

Array = NDArray[np.float64]

#: Share of the readings of a piece that are out of range, above which the unit is doubted.
MOSTLY = 0.9
#: What a column with gaps puts behind a whole number: 192.0.
_WHOLE = r"\.0+$"
#: Readings of each tag that are merged at a time.
MERGED = 65536


@dataclass
class _Tag:
    """One tag while it is read."""

    mapped: MappedTag
    scales: dict[str, Scale | None] = field(default_factory=dict)     # by unit, as it is written
    last: float = -np.inf
    lowest: float = -np.inf
    highest: float = np.inf

    @property
    def signal(self) -> Signal:
        return Signal(self.mapped.signal)

    @property
    def reference(self) -> str:
        """What a pressure of the mapping stands on: a or g."""
        scale = self.scales[""]
        return "g" if scale is not None and scale.offset else "a"


class Historian:
    """The files of one pump: iterate over it once to get samples, chunk by chunk; then ``account`` tells what was used.

    Rules, all counted in the account: readings of bad quality, that are no number or outside the range of the
    instrument end what stood before them; empty cells let it stand. Time stamps that do not rise are left out, the
    fewest of a piece; of equal ones the first counts.
    """

    def __init__(self, files: Sequence[Path], mapping: MappingFile, pump: str) -> None:
        self.files = tuple(files)
        self.mapping = mapping
        self.account = Account()
        self._good = {re.sub(_WHOLE, "", text.strip().lower()) for text in mapping.good}
        self._tags = [self._tag(one) for one in mapping.tags_of(pump)]
        self._aligner = Aligner({one.signal: mapping.age(one.mapped) for one in self._tags}, mapping.step, self.account)

    def _tag(self, mapped: MappedTag) -> _Tag:
        lowest, highest = mapped.range_in_si(self.mapping.air)
        return _Tag(mapped, {"": self.mapping.scale(mapped)}, lowest=lowest, highest=highest)

    def __iter__(self) -> Iterator[Samples]:
        return self._by_column() if self.mapping.layout == "a column for each tag" else self._by_row()

    def _by_column(self) -> Iterator[Samples]:
        common = self.mapping.quality_column
        columns = [self.mapping.time_column, *([common] if common else [])]
        for one in self._tags:
            columns += [one.mapped.tag, *([one.mapped.quality_column] if one.mapped.quality_column else [])]
        last = -np.inf
        for file in self.files:
            for piece in pieces(file, tuple(dict.fromkeys(columns)), self.mapping, self.account):
                stamps = self._times(piece, ROW)
                keep = rising(stamps, last, self.account, ROW)
                if not keep.any():
                    continue
                times = stamps[keep]
                kept = piece.filter(pl.Series(keep))
                for one in self._tags:
                    name = one.mapped.quality_column or common
                    self._take(one, times, kept[one.mapped.tag], kept[name] if name else None)
                last = float(times[-1])
                if (samples := self._aligner.until(last)) is not None:
                    yield samples
        if (samples := self._aligner.until(np.inf)) is not None:
            yield samples

    def _by_row(self) -> Iterator[Samples]:
        """Clean every tag into a file of its own first: tags may come mixed, or one after the other."""
        asked = self.mapping
        columns = [asked.time_column, asked.tag_column, asked.value_column,
                   *(one for one in (asked.quality_column, asked.unit_column) if one)]
        with tempfile.TemporaryDirectory(prefix="wetpath-") as folder:
            paths = [Path(folder) / f"{number}.f64" for number in range(len(self._tags))]
            try:
                self._sort_out(columns, paths)
            except OSError as error:
                raise SourceError(f"The folder for temporary files, {folder}, cannot be written: "
                                  f"{error.strerror or error}. Make room there, or set TMPDIR to a folder with "
                                  "room.") from None
            yield from self._merged(paths)

    def _sort_out(self, columns: Sequence[str], paths: Sequence[Path]) -> None:
        streams = [path.open("wb") for path in paths]
        try:
            for file in self.files:
                for piece in pieces(file, columns, self.mapping, self.account):
                    names = piece[self.mapping.tag_column].cast(pl.String).str.strip_chars()
                    for one, stream in zip(self._tags, streams, strict=True):
                        self._sort_out_tag(one, piece.filter(names == one.mapped.tag), stream)
        finally:
            for stream in streams:
                stream.close()
        for one in self._tags:
            if one.last == -np.inf:
                self.account.note(f'the tag "{one.mapped.tag}" does not occur with a usable time')

    def _sort_out_tag(self, one: _Tag, rows: pl.DataFrame, stream: BinaryIO) -> None:
        if rows.is_empty():
            return
        stamps = self._times(rows, one.mapped.tag)
        keep = rising(stamps, one.last, self.account, one.mapped.tag)
        if not keep.any():
            return
        kept = rows.filter(pl.Series(keep))
        quality, unit = self.mapping.quality_column, self.mapping.unit_column
        found, value = self._read(one, stamps[keep], kept[self.mapping.value_column],
                                  kept[quality] if quality else None, kept[unit] if unit else None)
        np.column_stack([found, value]).tofile(stream)
        one.last = float(stamps[keep][-1])

    def _merged(self, paths: Sequence[Path]) -> Iterator[Samples]:
        place = [0] * len(paths)
        while True:
            read = [np.fromfile(path, count=2 * MERGED, offset=16 * at).reshape(-1, 2)
                    for path, at in zip(paths, place, strict=True)]
            if not any(one.size for one in read):
                break
            until = min((float(one[-1, 0]) for one in read if len(one) == MERGED), default=np.inf)
            for number, (one, rows) in enumerate(zip(self._tags, read, strict=True)):
                many = int(np.searchsorted(rows[:, 0], until, side="right"))
                self._aligner.add(one.signal, rows[:many, 0], rows[:many, 1])
                place[number] += many
            if (samples := self._aligner.until(until)) is not None:
                yield samples

    def _times(self, piece: pl.DataFrame, tag: str) -> Array:
        return utc_seconds(piece[self.mapping.time_column], self.mapping.time_format, self.mapping.zone, self.account,
                           tag)

    def _take(self, one: _Tag, times: Array, values: pl.Series, quality: pl.Series | None) -> None:
        found, value = self._read(one, times, values, quality, None)
        self._aligner.add(one.signal, found, value)

    def _read(self, one: _Tag, times: Array, values: pl.Series, quality: pl.Series | None, units: pl.Series | None
              ) -> tuple[Array, Array]:
        """Times and SI values of the readings of a tag; NaN where a reading is there and cannot be used."""
        number, there = self._numbers(values)
        usable = there.copy()
        tag = one.mapped.tag

        def leave_out(wrong: NDArray[np.bool_], reason: Reason) -> None:
            wrong &= usable
            self.account.drop(tag, reason, times[wrong])
            usable[wrong] = False

        if quality is not None:
            said = quality.cast(pl.String).str.strip_chars().str.to_lowercase().str.replace(_WHOLE, "")
            leave_out(~said.is_in(list(self._good)).fill_null(False).to_numpy(), Reason.QUALITY)
        leave_out(~np.isfinite(number), Reason.NO_NUMBER)
        value = self._in_si(one, times, number, usable, units, leave_out)
        with np.errstate(invalid="ignore"):
            outside = usable & ((value < one.lowest) | (value > one.highest))
        if outside.sum() > MOSTLY * usable.sum():
            self._other_unit(one, number[outside])
        leave_out(outside, Reason.RANGE)
        self.account.use(tag, int(usable.sum()))
        return times[there], np.where(usable, value, np.nan)[there]

    def _other_unit(self, one: _Tag, number: Array) -> None:
        """Say in which units readings that are mostly out of range would be in it: a change may not have been told."""
        suffix = f" {one.reference}" if one.mapped.kind is PRESSURE else ""
        fits = []
        for unit in one.mapped.kind.units:
            scale = self.mapping.scale(one.mapped, unit.name + suffix)
            value = number * scale.factor + scale.offset
            if ((value >= one.lowest) & (value <= one.highest)).all():
                fits.append(unit.name + suffix)
        if fits:
            self.account.note(f"readings of {one.mapped.tag} outside the range of its instrument would be inside it in "
                              f"{', '.join(fits)}: if the unit was changed, tell it by unit_changes")

    def _numbers(self, values: pl.Series) -> tuple[Array, NDArray[np.bool_]]:
        if values.dtype.is_numeric():
            return np.asarray(values.cast(pl.Float64).to_numpy(), float), values.is_not_null().to_numpy()
        texts = values.cast(pl.String).str.strip_chars()
        there = (texts.str.len_bytes() > 0).fill_null(False).to_numpy()
        if self.mapping.decimal_mark == ",":        # a point then parts thousands, or is a mistake: no number
            texts = texts.str.replace_all(".", "?", literal=True).str.replace(",", ".", literal=True)
        return np.asarray(texts.cast(pl.Float64, strict=False).to_numpy(), float), there

    def _in_si(self, one: _Tag, times: Array, number: Array, usable: NDArray[np.bool_], units: pl.Series | None,
               leave_out: object) -> Array:
        if units is None:
            changes = one.mapped.unit_changes
            for place, change in enumerate(changes):
                end = changes[place + 1].time if place + 1 < len(changes) else np.inf
                chosen = usable & (times >= change.time) & (times < end)
                if chosen.any():
                    self.account.convert(one.mapped.tag, change.unit, int(chosen.sum()))
            return self.mapping.in_si(one.mapped, times, number)
        value = np.full(number.shape, np.nan)
        written = units.cast(pl.String).str.strip_chars().fill_null("")
        for unit in written.unique().to_list():
            chosen = (written == unit).to_numpy()
            scale = self._scale(one, unit)
            if scale is None:
                leave_out(chosen.copy(), Reason.UNIT)  # type: ignore[operator]
                continue
            value[chosen] = number[chosen] * scale.factor + scale.offset
            if scale != one.scales[""]:
                self.account.convert(one.mapped.tag, unit, int((chosen & usable).sum()))
        return value

    def _scale(self, one: _Tag, unit: str) -> Scale | None:
        """Scale of a unit as the file writes it; a pressure without a or g is as the mapping says."""
        if unit not in one.scales:
            tried = [unit]
            if one.mapped.kind is PRESSURE:
                tried.append(f"{unit} {one.reference}")
            one.scales[unit] = None
            for text in tried:
                try:
                    one.scales[unit] = self.mapping.scale(one.mapped, text)
                    break
                except (UnitError, InputError):
                    continue
        return one.scales[unit]
