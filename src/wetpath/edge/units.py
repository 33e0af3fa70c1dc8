"""Text to SI and SI to text: the one place where units are met.

The units of `wetpath.edge.quantities` are read without further help. Any other unit is looked up in pint,
whose registry is built only then (half a second).
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from wetpath.edge import quantities
from wetpath.edge.quantities import KINDS, PRESSURE, PRESSURE_DIFFERENCE, RATIO, ROTATIONAL_SPEED, Kind, Unit
from wetpath.edge.ranges import OutOfRange, Within, number_text
from wetpath.errors import UnitError, nearest_names, with_article
from wetpath.physics.constants import STANDARD_ATMOSPHERE

THIN_SPACE = "\u2009"

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d+)*[.,]?|[.,]\d+)(?:[eE][+-]?\d+)?")
_LISTED = rf"{_NUMBER.pattern}(?![/\d])"
_LIST = re.compile(rf"(?P<numbers>{_LISTED}(?:\s+{_LISTED})*)\s*(?P<unit>(?:1/)?[^\d\s.,+-].*)?")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+")
_SUFFIX = re.compile(r"^(?P<unit>.+?)[\s_]*\(?\s*(?P<suffix>abs|absolute|a|gauge|g)\s*\)?$")
# What may reach pint, which computes powers: names with a small exponent, *, /, brackets. Nothing to raise to 9**9**9.
_UNIT_TOKENS = re.compile(r"[A-Za-zµΩ°]+(?:(?:\*\*|\^)?-?[1-4])?|\*(?!\*)|[/()\s]|1(?=\s*/)")


@dataclass(frozen=True)
class UnitSet:
    """The units in which results are shown: a default per kind, and single ones changed by the user."""

    name: str
    changed: tuple[tuple[str, str], ...] = ()     # (name of the kind, name of the unit)

    def unit(self, kind: Kind) -> Unit:
        """Return the unit this set shows ``kind`` in."""
        name = dict(self.changed).get(kind.name, kind.us if self.name == "US" else kind.metric)
        return find_unit(name, kind)


METRIC = UnitSet("metric")
US = UnitSet("US")


def parse(
    text: str, kind: Kind, *, atmosphere: float = STANDARD_ATMOSPHERE, within: Within | None = None
) -> float:
    """Read a number with its unit and return it in SI (pressures absolute, temperatures in kelvin).

    Parameters
    ----------
    text : str
        For example ``"45 m3/h"``, ``"14 psi g"``, ``"80 degC"``, ``"12 %"``.
    kind : Kind
        What is asked, from `wetpath.edge.quantities`.
    atmosphere : float [Pa]
        Local atmospheric pressure, added to a gauge pressure.
    within : Within, optional
        A range narrower than the one of the kind itself.

    Returns
    -------
    float [SI unit of the kind]

    Raises
    ------
    UnitError
        No number, no unit, a unit unknown or of another kind, a pressure without a or g, out of range.

    Examples
    --------
    >>> parse("45 m3/h", quantities.VOLUME_FLOW)
    0.0125
    >>> parse("0.5 bar g", PRESSURE, atmosphere=95000.0)
    145000.0
    """
    number, unit_text = _split(text, kind)
    value = _to_si(number, unit_text, kind, atmosphere, text)
    check_range(value, kind, within, typed=text)
    return value


def parse_list(text: str, kind: Kind, *, atmosphere: float = STANDARD_ATMOSPHERE,
               within: Within | None = None) -> tuple[float, ...]:
    """Read several numbers that share one unit at the end, ``"0 10 20 30 m3/h"``, and return them in SI.

    >>> parse_list("20 40, 60 degC", quantities.TEMPERATURE)
    (293.15, 313.15, 333.15)
    """
    plain = _plain_list(text)
    match = _LIST.fullmatch(plain)
    if not match or re.search(r"\s\d", match["unit"] or ""):
        raise UnitError("is not a list of numbers with one unit at its end" if plain else "is empty",
                        value=f'"{text}"', do=f'write a list like "{list_example(kind)}"')
    unit_text = match["unit"] or ""
    if not unit_text and kind != RATIO:
        raise UnitError("has no unit", value=f'"{text}"', do=f'write a list like "{list_example(kind)}"')
    values = []
    for number in match["numbers"].split():
        value = _to_si(_number(number, text), unit_text, kind, atmosphere, text)
        check_range(value, kind, within, typed=f"{number} {unit_text}".strip(), whole=text)
        values.append(value)
    return tuple(values)


def check_range(value: float, kind: Kind, within: Within | None = None, *, typed: str = "",
                unit: Unit | None = None, whole: str = "") -> None:
    """Raise `OutOfRange` when an SI value is not finite, physically impossible, or outside ``within``.

    ``typed`` is the text of the value, ``whole`` that of the list it stands in.
    """
    unit = unit or (unit_of(typed, kind) if typed else None)
    if not math.isfinite(value):
        raise UnitError("is not a finite number", value=f'"{typed}"' if typed else repr(value))
    possible = Within(above=kind.above, lower=kind.lower)
    if not possible.holds(value, kind):
        words = "is not above absolute zero" if kind == quantities.TEMPERATURE else ""
        raise OutOfRange(value, kind, possible, unit=unit, typed=typed, whole=whole, words=words)
    if within is not None and not within.holds(value, kind):
        raise OutOfRange(value, kind, within, unit=unit, typed=typed, whole=whole)


def express(value: float, kind: Kind, unit: str | Unit | None = None, *, digits: int | None = None,
            units: UnitSet = METRIC, space: str = THIN_SPACE) -> str:
    """Write an SI value for people: the digits of its unit, true minus, thin space, pressures as absolute.

    ``digits`` asks for that many significant digits instead of the ones usual for the unit.

    >>> express(469e3, PRESSURE, space=" ")
    '4.69 bar a'
    >>> express(353.15, quantities.TEMPERATURE, space=" ")
    '80.0 °C'
    """
    chosen = _chosen(kind, unit, units)
    number = number_text(
        (value - chosen.offset) / chosen.factor, None if digits else chosen.decimals, digits or 3
    )
    printed = chosen.printed + (" a" if kind == PRESSURE else "")
    return f"{number}{space}{printed}".strip()


def canonical(value: float, kind: Kind) -> str:
    """Write an SI value as text for a file: ASCII, and reading it back gives exactly the same float.

    >>> canonical(0.0125, quantities.VOLUME_FLOW), canonical(0.12, RATIO)
    ('45 m3/h', '0.12')
    """
    suffix = " a" if kind == PRESSURE else ""
    exact = [f"{value!r} {kind.si.name}{suffix}".removesuffix(" 1")]
    for name in dict.fromkeys([kind.si.name, kind.metric] if kind != RATIO else [kind.si.name]):
        unit = find_unit(name, kind)
        for digits in (6, 9, 12, 15, 16, 17):
            number = f"{(value - unit.offset) / unit.factor:.{digits}g}"
            if float(number) * unit.factor + unit.offset == value:
                exact.append(f"{number} {name}{suffix}".removesuffix(" 1"))
                break
    # The usual unit, unless that takes a tail of digits to be exact where the SI unit needs none.
    return exact[-1] if len(exact[-1]) <= min(map(len, exact)) + 4 else min(exact, key=len)


def canonical_list(values: tuple[float, ...], kind: Kind) -> list[str]:
    """Write SI values as a list of texts for a file; reading them back gives exactly the same floats."""
    return [canonical(value, kind) for value in values]


def convert(value: Any, kind: Kind, unit: str | Unit) -> Any:
    """Return an SI value or array in another unit of its kind (pressures stay absolute)."""
    chosen = _chosen(kind, unit, METRIC)
    return (value - chosen.offset) / chosen.factor


def unit_of(text: str, kind: Kind) -> Unit | None:
    """Return the unit somebody typed after a number or a list, or None when there is none of the kind."""
    unit_text = _unit_text(text)
    return _lookup(_pressure_suffix(unit_text, kind)[0], kind) if unit_text else None


@lru_cache(maxsize=512)
def find_unit(text: str, kind: Kind) -> Unit:
    """Return the unit a text names for a kind; raise `UnitError` with the nearest one."""
    unit = _lookup(text, kind)
    if unit is None:
        raise _not_a_unit(text, kind, f'"{text}"', "is")
    return unit


def list_example(kind: Kind) -> str:
    """Return how a list of this kind is written, for messages and schemas."""
    number, _, unit = kind.example.partition(" ")
    return f"{number} {float(number) * 2:g} {unit}"


def ends_in_unit(text: str, kind: Kind) -> bool:
    """Whether a text, of one number or several, ends in a unit of this kind."""
    unit_text = _unit_text(text)
    return bool(unit_text) and _lookup(unit_text, kind) is not None


_DENSITY_BETWEEN = "dynamic viscosity (mPa s, cP) is kinematic viscosity (mm2/s, cSt) times density"
_CONFUSED = {
    ("kinematic viscosity", "dynamic viscosity"): _DENSITY_BETWEEN,
    ("dynamic viscosity", "kinematic viscosity"): _DENSITY_BETWEEN,
    ("volume flow", "mass flow"): "mass flow is volume flow times density",
    ("mass flow", "volume flow"): "mass flow is volume flow times density",
    ("pressure difference", "head"): "pressure is density times gravity times head",
    ("pressure", "head"): "pressure is density times gravity times head",
    (
        "head",
        "pressure",
    ): "head is pressure over density and gravity; head is in metres or feet of the pumped liquid",
}


def _split(text: str, kind: Kind) -> tuple[float, str]:
    plain = _plain(text)
    match = _NUMBER.match(plain)
    if not match:
        raise UnitError("does not begin with a number" if plain else "is empty", value=f'"{text}"',
                        do=f'write {with_article(kind.name)} like "{kind.example}"')
    rest = plain[match.end():].strip()
    if re.match(r"(?!1/)[\d.,+-]", rest):
        raise UnitError("has more than one number", value=f'"{text}"',
                        do=f'write one number, without spaces in it, then its unit, like "{kind.example}"')
    return _number(match[0], text), rest


def _number(number: str, text: str) -> float:
    if _GROUPED.fullmatch(number):
        grouped, decimal = number.replace(",", ""), number.replace(",", ".", 1)
        decimal_too = f', or "{decimal}" if it is the decimal mark' if number.count(",") == 1 else ""
        raise UnitError("can be read in two ways", value=f'"{text}"',
                        do=f'write "{grouped}" if the comma parts the thousands{decimal_too}')
    decimal_point = number.replace(",", ".")
    if decimal_point.count(".") > 1:
        raise UnitError("has more than one decimal mark", value=f'"{text}"', do='write it like "1200.5"')
    return float(decimal_point)


def _to_si(number: float, unit_text: str, kind: Kind, atmosphere: float, text: str) -> float:
    if not unit_text:
        if kind == RATIO:
            return number
        raise UnitError("has no unit", value=f'"{text}"', do=f'write {with_article(kind.name)} like "{kind.example}"')
    bare, suffix = _pressure_suffix(unit_text, kind)
    if kind == ROTATIONAL_SPEED and _key(bare) in ("Hz", "1/s", "s-1", "r/s", "rev/s"):
        raise UnitError("may mean turns per second or the frequency of the mains", value=f'"{text}"',
                        do="write the speed of the shaft in turns per minute, for example "
                           f'"{number * 60:g} rpm" for {number:g} turns per second')
    unit = _lookup(bare, kind)
    if unit is None:
        raise _not_a_unit(unit_text, kind, f'"{text}"', f'ends in "{unit_text}", which is')
    value = number * unit.factor + unit.offset
    if kind == PRESSURE:
        value += _gauge(number, unit, suffix, atmosphere, text)
    elif kind == PRESSURE_DIFFERENCE and suffix:
        raise UnitError("is a pressure; a pressure difference is asked, which is neither absolute nor gauge",
                        value=f'"{text}"', do=f'write "{number:g} {unit.name}"')
    return value


def _lookup(text: str, kind: Kind) -> Unit | None:
    key = _key(text)
    if (unit := _spellings(kind).get(key)) is not None:
        return unit
    if any(key in _spellings(other) and other.si.name != kind.si.name for other in KINDS.values()):
        return None                       # known to be of another kind: no need to ask pint
    return _from_pint(_plain(text), kind)


def _not_a_unit(text: str, kind: Kind, value: str, is_: str) -> UnitError:
    example = f'write {with_article(kind.name)} like "{kind.example}"'
    bare = _pressure_suffix(text, PRESSURE)[0]
    others = [other for name in dict.fromkeys((text, bare)) for other in KINDS.values()
              if _key(name) in _spellings(other)]
    if others:      # first what is often confused with this kind; a bare metre is rather a length than a head
        other = min(others, key=lambda one: ((kind.name, one.name) not in _CONFUSED, one == quantities.HEAD))
        return UnitError(f"is {with_article(other.name)}; {with_article(kind.name)} is asked", value=value,
                         do=example, why=_CONFUSED.get((kind.name, other.name), ""))
    near = nearest_names(text, [unit.name for unit in kind.units], at_most=1)
    hint = f" Did you mean {_spellings(kind)[_key(near[0])].printed}?" if near else ""
    return UnitError(f"{is_} not a unit known here.{hint}", value=value, do=example)


def _pressure_suffix(unit_text: str, kind: Kind) -> tuple[str, str]:
    if kind not in (PRESSURE, PRESSURE_DIFFERENCE) or _key(unit_text) in _spellings(kind):
        return unit_text, ""
    match = _SUFFIX.match(unit_text)
    return (match["unit"], match["suffix"][0]) if match else (unit_text, "")


def _gauge(number: float, unit: Unit, suffix: str, atmosphere: float, text: str) -> float:
    if suffix == "a":
        return 0.0
    absolute = number * unit.factor + atmosphere
    site = f"at this site, where the atmosphere is {express(atmosphere, PRESSURE, unit, space=' ')}"
    if not suffix:
        as_typed = f"{number:g} {unit.name}"
        raise UnitError(
            "is absolute or gauge?", value=f'"{text}"',
            do=f'write "{as_typed} a" ({as_typed} absolute) or "{as_typed} g" '
               f"({express(absolute, PRESSURE, unit, space=' ')} {site})")
    if absolute <= 0:
        raise UnitError(f"is below a perfect vacuum {site}", value=f'"{text}"')
    return atmosphere


def _plain(text: str) -> str:
    text = re.sub(r"(?<=\d)[\u2009\u202f](?=\d{3}(?!\d))", "", text)
    for sign in "\u2212\u2013\u2012":
        text = text.replace(sign, "-")
    text = unicodedata.normalize("NFKC", text.replace("·", "*").replace("⋅", "*").replace("Ω", "Ω"))
    return " ".join(text.replace("μ", "µ").split())


def _plain_list(text: str) -> str:
    return re.sub(r",(?=\s)|;", " ", _plain(text)).strip()


def _unit_text(text: str) -> str:
    match = _LIST.fullmatch(_plain_list(text))
    return match["unit"] or "" if match else ""


def _key(text: str) -> str:
    plain = re.sub(r"[\s*()^]|(?<=[A-Za-z])\.(?=[A-Za-z])", "", _plain(text)).replace("μ", "µ")
    return re.sub(r"^µ", "u", plain)


@cache
def _spellings(kind: Kind) -> dict[str, Unit]:
    return {_key(spelling): unit for unit in kind.units
            for spelling in (unit.name, unit.printed, *unit.spellings)}


def _chosen(kind: Kind, unit: str | Unit | None, units: UnitSet) -> Unit:
    if isinstance(unit, Unit):
        return unit
    return units.unit(kind) if unit is None else find_unit(unit, kind)


# Kinds without a dimension, or with units whose zero is elsewhere: a wrong guess would not be noticed.
_NEVER_LOOKED_UP = (quantities.TEMPERATURE, RATIO, quantities.PER_KELVIN, ROTATIONAL_SPEED, quantities.ANGLE)


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(cache_folder=None)


@lru_cache(maxsize=256)
def _from_pint(text: str, kind: Kind) -> Unit | None:
    """Look a unit up that is not in our tables; None when it is unknown or of another dimension."""
    if kind in _NEVER_LOOKED_UP or len(text) > 40 or _UNIT_TOKENS.sub("", text):
        return None
    registry = _registry()
    try:
        factor = float(registry.Quantity(1.0, _for_pint(text)).to(_for_pint(kind.si.name)).magnitude)
    except Exception:   # pint and its tokenizer raise many kinds of error for what is simply not a unit
        return None
    return Unit(text, factor) if math.isfinite(factor) and factor > 0 else None



def _for_pint(text: str) -> str:
    return re.sub(r"(?<=[A-Za-z])(?=\d)", "**", text).replace(" ", "*")
