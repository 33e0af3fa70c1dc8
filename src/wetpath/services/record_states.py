"""Sections of the record on the machine's parts in one case: suction, flows, bearings, shell, motor, surfaces."""

from __future__ import annotations

from pydantic import ConfigDict, Field

from wetpath.edge.told_fields import KeepsWords


class Entry(KeepsWords):
    """Base of every table of the record: nothing more than is described, no NaN; what is not known is null."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Section(Entry):
    """A table that says why its values are null where some are."""

    reason: str = Field(description="why values are null; empty where none is")


class FlowLimitRecord(Section):
    """One limit on the flow."""

    name: str
    lowest_m3_per_s: float | None
    highest_m3_per_s: float | None
    holds_nowhere: bool = Field(description="the demand behind it holds at no flow of this pump")
    counts: bool = Field(description="whether minimum and maximum heed it")
    status: str
    meaning: str


class FlowLimitsRecord(Section):
    """Least and largest flow, the narrowest of separate limits."""

    minimum_m3_per_s: float
    minimum_by: str = Field(description="limit that sets it; empty where none does")
    maximum_m3_per_s: float | None
    maximum_by: str
    by_pass_m3_per_s: float = Field(description="flow to lead back to the vessel; 0: none")
    scanned_from_m3_per_s: float
    scanned_to_m3_per_s: float
    limits: tuple[FlowLimitRecord, ...]


class SuctionRecord(Section):
    """The suction side."""

    eye_rise_k: float = Field(description="temperature in the impeller eye above that at the suction flange")
    npsh_without_return_m: float | None = Field(description="NPSH available if no circulation came back to the eye")
    npsh_lost_to_return_m: float | None
    npsh_needed_m: float = Field(description="NPSH3 with the margin of the practice")
    level_m: float | None = Field(description="of the liquid in the vessel above the shaft")
    lowest_level_m: float | None = Field(description="down to which NPSH holds with its margin")
    degassing_pressure_pa: float | None
    gas_share: float | None = Field(description="largest share of the volume")
    gas_at: str = Field(description="where that is; empty without gas")


class JournalRecord(Section):
    """One journal bearing."""

    name: str
    load_n: float
    specific_load_pa: float
    sliding_speed_m_per_s: float
    load_times_speed_pa_m_per_s: float
    temperature_k: float | None
    viscosity_pa_s: float | None
    lubricity: str = Field(description="thin, water-like or oily")
    film_reynolds: float | None
    flow_in_film: str = Field(description="laminar, with vortices or turbulent")
    sommerfeld_number: float | None
    eccentricity_ratio: float | None
    least_film_m: float | None
    film_over_roughness: float | None
    beyond_film_table: bool = Field(description="the film is then taken thinner than it is")
    carried_by: str


class AxialThrustRecord(Section):
    """Axial force on the rotor, positive towards the suction, its parts and the face that carries it."""

    total_n: float | None
    rear_shroud_n: float | None
    front_shroud_n: float | None
    eye_n: float | None
    momentum_n: float | None
    magnet_rotor_n: float | None
    magnetic_n: float | None
    carried_by: str
    face_pressure_pa: float | None


class ExternalBearingRecord(Section):
    """One bearing place of the drive shaft."""

    place: str
    radial_n: float
    axial_n: float
    equivalent_load_n: float
    life_s: float | None = Field(description="L10h of ISO 281")


class BearingsRecord(Entry):
    """Bearings and thrust."""

    radial_force_n: float = Field(description="of the casing on the impeller")
    magnet_pull_n: float = Field(description="between the rings, at their largest offset")
    rotor_weight_n: float
    journals: tuple[JournalRecord, ...]
    thrust_new: AxialThrustRecord
    thrust_worn: AxialThrustRecord = Field(description="with a worn rear ring")
    external: tuple[ExternalBearingRecord, ...] = Field(description="empty: not in the pump file")


class MagnetRingRecord(Section):
    """Field against the magnets of one ring over their intrinsic coercivity."""

    ring: str
    field_over_coercivity: float | None
    field_over_coercivity_slipping: float | None = Field(description="equal poles facing each other")


class StartRecord(Section):
    """The start, and the coupling out of step."""

    starter: str
    driver_torque_n_m: float = Field(description="largest of the motor with its starter")
    ramp_time_s: float | None
    torque_n_m: float = Field(description="through the coupling, both sides turning as one")
    swing_n_m: float = Field(description="peak when the first torque of the motor comes at once; 0 with a ramp")
    pull_out_over_torque: float
    drive_inertia_kg_m2: float
    pump_inertia_kg_m2: float
    estimated_inertias: tuple[str, ...]
    slip_loss_w: float = Field(description="in the shell with the inner ring at rest")
    slip_loss_over_running: float | None
    magnets: tuple[MagnetRingRecord, ...]


class ShellRecord(Section):
    """The containment shell as a pressure part; pressures are above that outside."""

    sound_wall_m: float = Field(description="wall less corrosion allowance and mill tolerance")
    temperature_k: float
    gradient_k: float = Field(description="through the wall where it is hottest; the outside is hotter")
    allowable_stress_pa: float | None
    inside_pa: float = Field(description="highest pressure inside")
    bears_pa: float | None
    cylinder_bears_pa: float | None = Field(description="ASME VIII-1 UG-27")
    cylinder_bears_en_pa: float | None = Field(description="EN 13445-3")
    end_bears_pa: float | None
    membrane_stress_pa: float
    thermal_stress_pa: float
    vacuum_pa: float = Field(description="highest pressure outside above that inside; negative: none")
    bears_outside_pa: float | None
    test_pressure_pa: float | None
    test_stress_over_yield: float | None


class DriverRecord(Section):
    """The motor at its site."""

    rated_w: float
    air_share: float = Field(description="what the air of the site leaves of the rated power")
    available_w: float
    highest_power_w: float = Field(description="from shut-off to the end of the curve")
    highest_power_flow_m3_per_s: float
    shut_off_power_w: float
    recommended_rating_w: float | None
    efficiency: float | None
    class_asked: str
    efficiency_asked: float | None
    input_power_w: float | None
    largest_input_power_w: float | None
    works_test_power_w: float | None
    works_test_pull_out_over_torque: float | None
    lowest_speed_rad_per_s: float | None = Field(description="at which the internal circulation holds, a hint")


class SurfaceRecord(Section):
    """The hottest surface in one state of the pump."""

    state: str
    where: str
    temperature_k: float | None
    temperature_class: str = Field(description="with the margins of a measured temperature; empty: not known")
    trips: tuple[str, ...] = Field(description="trips of the enquiry that act before")


class SurfacesRecord(Section):
    """Hottest surfaces; help for whoever judges explosion protection, no certificate."""

    normal: SurfaceRecord
    malfunctions: tuple[SurfaceRecord, ...]
    slip_heat_over_running: float | None
    dry_time_s: float | None = Field(description="dry, from normal operation to the limit of the class asked")
    dry_rate_k_per_s: float


class StandstillRecord(Section):
    """After a stop in hot service, and running between closed valves."""

    settled_k: float = Field(description="of shell, inner ring and the liquid between them")
    soaked_k: float = Field(description="hottest that liquid gets")
    boiling_k: float | None = Field(description="at the pressure of the suction")
    margin_k: float | None
    magnets_k: float
    shut_in_power_w: float
    liquid_mass_kg: float
    metal_mass_kg: float
    heating_rate_k_per_s: float
    time_to_boiling_s: float | None = Field(description="at the relief pressure")
    time_to_relief_s: float | None = Field(description="full of liquid, by its expansion")
