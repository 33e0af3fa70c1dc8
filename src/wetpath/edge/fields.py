"""Types for the fields of file models: a text with a unit outside, a float in SI inside.

``wall: Length`` reads ``"12 mm"`` and holds ``0.012``. A range narrows a type::

    wall: Annotated[Length, Within(upper="20 mm")]
    wall: Length = drawing("wall thickness under the magnets", upper="20 mm")

The context of validation may hold ``atmosphere`` [Pa], added to gauge pressures, and ``texts``: when it is
true, as for files, a number without a unit is refused; otherwise Python numbers are taken as SI. A model
dumped in JSON mode holds texts again, which read back to exactly the same floats.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from wetpath.edge import quantities, units
from wetpath.edge.quantities import DYNAMIC_VISCOSITY, KINEMATIC_VISCOSITY, RATIO, Kind
from wetpath.edge.ranges import OutOfRange, Within
from wetpath.errors import UnitError, with_article
from wetpath.physics.constants import STANDARD_ATMOSPHERE

_NUMBER_PATTERN = r"[-+−]?[0-9]*[.,]?[0-9]+([eE][-+]?[0-9]+)?"


class SiFloat(float):
    """A default given by the program in SI, which needs no unit even where texts are asked."""


class SiInt(int):
    """The same for a whole number."""


@dataclass(frozen=True)
class Measured:
    """Mark of a field that holds one quantity."""

    kind: Kind
    within: Within | None = None

    def read(self, value: Any, info: ValidationInfo) -> float:
        """Return what a user wrote, or a Python number, in SI."""
        return _one(value, self.kind, self.within, info.context or {})

    def write(self, value: float) -> Any:
        """Return the text for a file; a ratio stays a number."""
        return value if self.kind == RATIO else units.canonical(value, self.kind)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return _schema(self, source, handler)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return _json_schema(self.kind, many=False)


@dataclass(frozen=True)
class MeasuredList:
    """Mark of a field that holds several quantities of one kind: ``"0 10 20 m3/h"`` or a list of texts."""

    kind: Kind
    within: Within | None = None

    def read(self, value: Any, info: ValidationInfo) -> tuple[float, ...]:
        """Return what a user wrote, or Python numbers, in SI."""
        return _many(value, self.kind, self.within, info.context or {})

    def write(self, values: tuple[float, ...]) -> list[Any]:
        """Return the list of texts for a file; ratios stay numbers."""
        return list(values) if self.kind == RATIO else units.canonical_list(values, self.kind)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return _schema(self, source, handler)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return _json_schema(self.kind, many=True)


@dataclass(frozen=True)
class GivenViscosity:
    """Viscosities as the user has them: dynamic [Pa s] or kinematic [m2/s]."""

    values: tuple[float, ...]
    kinematic: bool

    @property
    def kind(self) -> Kind:
        """The kind of quantity the values are."""
        return KINEMATIC_VISCOSITY if self.kinematic else DYNAMIC_VISCOSITY


@dataclass(frozen=True)
class MeasuredViscosity:
    """Mark of a field that holds viscosities, dynamic or kinematic as the unit tells."""

    many: bool

    def read(self, value: Any, info: ValidationInfo) -> GivenViscosity:
        """Return what a user wrote; a Python number is taken as dynamic [Pa s]."""
        context = info.context or {}
        if isinstance(value, dict) and not context.get("texts"):
            value = GivenViscosity(**value)   # what a dump in Python mode holds
        if isinstance(value, GivenViscosity):
            return value
        kind = _viscosity_kind(value)
        try:
            values = (_many if self.many else _single)(value, kind, None, context)
        except OutOfRange:
            raise
        except UnitError as error:
            told = error.problem
            raise UnitError(told.text, value=told.value, why=told.why,
                            do='write a dynamic viscosity like "0.6 mPa s" '
                               'or a kinematic one like "12 mm2/s"') from None
        return GivenViscosity(values, kind == KINEMATIC_VISCOSITY)

    def write(self, given: GivenViscosity) -> Any:
        """Return the text, or the list of texts, for a file."""
        texts = units.canonical_list(given.values, given.kind)
        return texts if self.many else texts[0]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return _schema(self, source, handler)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {**_json_schema(DYNAMIC_VISCOSITY, self.many), "x-quantity": "dynamic or kinematic viscosity"}


# Lengths, areas and volumes of parts are above zero; a `Position` may have either sign.
VolumeFlow = Annotated[float, Measured(quantities.VOLUME_FLOW, Within(lower=0.0))]
MassFlow = Annotated[float, Measured(quantities.MASS_FLOW, Within(lower=0.0))]
Head = Annotated[float, Measured(quantities.HEAD)]
Length = Annotated[float, Measured(quantities.LENGTH, Within(above=0.0))]
Position = Annotated[float, Measured(quantities.LENGTH)]
Area = Annotated[float, Measured(quantities.AREA, Within(above=0.0))]
Volume = Annotated[float, Measured(quantities.VOLUME, Within(above=0.0))]
RotationalSpeed = Annotated[float, Measured(quantities.ROTATIONAL_SPEED, Within(lower=0.0))]
Temperature = Annotated[float, Measured(quantities.TEMPERATURE)]
TemperatureDifference = Annotated[float, Measured(quantities.TEMPERATURE_DIFFERENCE)]
Pressure = Annotated[float, Measured(quantities.PRESSURE)]
PressureDifference = Annotated[float, Measured(quantities.PRESSURE_DIFFERENCE)]
Power = Annotated[float, Measured(quantities.POWER, Within(lower=0.0))]
Torque = Annotated[float, Measured(quantities.TORQUE)]
Force = Annotated[float, Measured(quantities.FORCE)]
Stress = Annotated[float, Measured(quantities.STRESS)]
Density = Annotated[float, Measured(quantities.DENSITY)]
DynamicViscosity = Annotated[float, Measured(quantities.DYNAMIC_VISCOSITY)]
KinematicViscosity = Annotated[float, Measured(quantities.KINEMATIC_VISCOSITY)]
Viscosity = Annotated[GivenViscosity, MeasuredViscosity(many=False)]
SpecificHeat = Annotated[float, Measured(quantities.SPECIFIC_HEAT)]
SpecificEnergy = Annotated[float, Measured(quantities.SPECIFIC_ENERGY)]
ThermalConductivity = Annotated[float, Measured(quantities.THERMAL_CONDUCTIVITY)]
HeatTransferCoefficient = Annotated[float, Measured(quantities.HEAT_TRANSFER_COEFFICIENT)]
Resistivity = Annotated[float, Measured(quantities.RESISTIVITY)]
FluxDensity = Annotated[float, Measured(quantities.FLUX_DENSITY)]
FieldStrength = Annotated[float, Measured(quantities.FIELD_STRENGTH)]
Angle = Annotated[float, Measured(quantities.ANGLE)]
Current = Annotated[float, Measured(quantities.CURRENT)]
Time = Annotated[float, Measured(quantities.TIME, Within(lower=0.0))]
Mass = Annotated[float, Measured(quantities.MASS)]
Inertia = Annotated[float, Measured(quantities.INERTIA)]
Ratio = Annotated[float, Measured(quantities.RATIO)]
PerKelvin = Annotated[float, Measured(quantities.PER_KELVIN)]
Velocity = Annotated[float, Measured(quantities.VELOCITY)]
Roughness = Annotated[float, Measured(quantities.ROUGHNESS)]

VolumeFlowList = Annotated[tuple[float, ...], MeasuredList(quantities.VOLUME_FLOW, Within(lower=0.0))]
HeadList = Annotated[tuple[float, ...], MeasuredList(quantities.HEAD)]
LengthList = Annotated[tuple[float, ...], MeasuredList(quantities.LENGTH, Within(above=0.0))]
TemperatureList = Annotated[tuple[float, ...], MeasuredList(quantities.TEMPERATURE)]
PressureList = Annotated[tuple[float, ...], MeasuredList(quantities.PRESSURE)]
PressureDifferenceList = Annotated[tuple[float, ...], MeasuredList(quantities.PRESSURE_DIFFERENCE)]
PowerList = Annotated[tuple[float, ...], MeasuredList(quantities.POWER, Within(lower=0.0))]
TorqueList = Annotated[tuple[float, ...], MeasuredList(quantities.TORQUE)]
RotationalSpeedList = Annotated[
    tuple[float, ...], MeasuredList(quantities.ROTATIONAL_SPEED, Within(lower=0.0))
]
RatioList = Annotated[tuple[float, ...], MeasuredList(quantities.RATIO)]
DensityList = Annotated[tuple[float, ...], MeasuredList(quantities.DENSITY)]
SpecificHeatList = Annotated[tuple[float, ...], MeasuredList(quantities.SPECIFIC_HEAT)]
ViscosityList = Annotated[GivenViscosity, MeasuredViscosity(many=True)]
ThermalConductivityList = Annotated[tuple[float, ...], MeasuredList(quantities.THERMAL_CONDUCTIVITY)]
ResistivityList = Annotated[tuple[float, ...], MeasuredList(quantities.RESISTIVITY)]
StressList = Annotated[tuple[float, ...], MeasuredList(quantities.STRESS)]
TimeList = Annotated[tuple[float, ...], MeasuredList(quantities.TIME, Within(lower=0.0))]


def _one(value: Any, kind: Kind, within: Within | None, context: dict[str, Any]) -> float:
    if isinstance(value, str):
        return units.parse(
            value, kind, atmosphere=context.get("atmosphere", STANDARD_ATMOSPHERE), within=within
        )
    if isinstance(value, bool) or not hasattr(value, "__float__"):
        raise UnitError("is not a text with a number and its unit", value=_shown(value),
                        do=f'write {with_article(kind.name)} like "{kind.example}"')
    if context.get("texts") and kind != RATIO and not isinstance(value, (SiFloat, SiInt)):
        raise UnitError("has no unit", value=_shown(value), do=f'write {with_article(kind.name)} like "{kind.example}"')
    number = float(value)
    units.check_range(number, kind, within, typed=_shown(value) if kind == RATIO else "")
    return number


def _many(value: Any, kind: Kind, within: Within | None, context: dict[str, Any]) -> tuple[float, ...]:
    if isinstance(value, str):
        return units.parse_list(
            value, kind, atmosphere=context.get("atmosphere", STANDARD_ATMOSPHERE), within=within
        )
    if isinstance(value, Iterable) and not isinstance(value, (dict, bytes)):
        return tuple(_one(item, kind, within, context) for item in value)
    if kind == RATIO and isinstance(value, (int, float)) and not isinstance(value, bool):
        return (_one(value, kind, within, context),)
    raise UnitError(
        "is not a list", value=_shown(value), do=f'write a list like "{units.list_example(kind)}"'
    )


def _single(value: Any, kind: Kind, within: Within | None, context: dict[str, Any]) -> tuple[float, ...]:
    return (_one(value, kind, within, context),)


def _viscosity_kind(value: Any) -> Kind:
    text = value if isinstance(value, str) else None
    if text is None and isinstance(value, (list, tuple)) and value and isinstance(value[0], str):
        text = value[0]
    return (
        KINEMATIC_VISCOSITY if text and units.ends_in_unit(text, KINEMATIC_VISCOSITY) else DYNAMIC_VISCOSITY
    )


def _shown(value: Any) -> str:
    return (
        f'"{value}"'
        if isinstance(value, str)
        else str(value).lower()
        if isinstance(value, bool)
        else str(value)
    )


def _schema(mark: Any, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
    """Return the schema that reads text first and then applies what else the field says of the number."""
    if isinstance(mark, MeasuredViscosity):
        kind = DYNAMIC_VISCOSITY
        inner: CoreSchema = core_schema.any_schema()
    else:
        kind, inner = mark.kind, handler(source)
    facts: Any = inner.get("metadata", {})
    ranges: tuple[Within, ...] = facts.get("wetpath_within", ())

    def read(value: Any, info: ValidationInfo) -> Any:
        result = mark.read(value, info)
        listed = isinstance(result, tuple)
        typed = value if isinstance(value, str) else ""
        for within in ranges:
            for item in result if listed else (result,):
                units.check_range(item, kind, within, typed="" if listed else typed,
                                  whole=typed if listed else "", unit=units.unit_of(typed, kind))
        return result

    def write(value: Any, info: Any) -> Any:
        return mark.write(value) if info.mode == "json" else value

    schema = core_schema.with_info_before_validator_function(
        read, facts.get("wetpath_bare", inner),
        serialization=core_schema.plain_serializer_function_ser_schema(write, info_arg=True))
    schema["metadata"] = {"wetpath_kind": kind}
    return schema


def _json_schema(kind: Kind, many: bool) -> JsonSchemaValue:
    unit = "( ?(%|percent|pct|ppm))?" if kind == RATIO else r"\s*[^\s0-9].*"
    one: JsonSchemaValue = {"type": "string", "pattern": rf"^\s*{_NUMBER_PATTERN}{unit}$"}
    if kind == RATIO:
        one = {"anyOf": [one, {"type": "number"}]}
    facts = {"x-quantity": kind.name, "x-units": [unit.name for unit in kind.units if unit.name != "1"]}
    if not many:
        return {**one, "examples": [kind.example], **facts}
    return {"anyOf": [{"type": "string"}, {"type": "array", "items": one}],
            "examples": [units.list_example(kind)], **facts}
