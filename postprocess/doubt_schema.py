"""Tables of results.json on doubt and failure: `doubt.as_json` writes them."""

from __future__ import annotations

from pydantic import Field

from postprocess.schema_base import Record


class ProbabilityRecord(Record):
    """A share of the samples."""

    probability: float = Field(description="0 to 1")
    bounds_95: tuple[float, float] = Field(description="Wilson bounds of 95 %, 0 to 1")


class AssumptionsRecord(Record):
    """What is taken for uncertain."""

    samples: int = Field(description="floors drawn at random")
    seed: int = Field(description="of the random numbers")
    rate_tolerance_percent: float = Field(description="two standard deviations of a spring's rate, %")
    batch_percent: float = Field(description="share of its variance common to a kind of coil, %")
    thickness_deviation_mm: float = Field(description="standard deviation of the thickness, mm")
    thickness_correlation_mm: float = Field(description="distance over which the thickness varies, mm")
    thickness_variance_kept_percent: float = Field(description="variance that the random field keeps, %")
    mass_deviation_percent: float = Field(description="standard deviation of each mass of equipment, %")


class ScatterRecord(Record):
    """The load of a jack in service, positive in compression."""

    nominal: float = Field(description="without any doubt, kN")
    mean: float = Field(description="of the samples, kN")
    percentile_5: float = Field(description="5 % of the samples are below, kN")
    percentile_95: float = Field(description="5 % of the samples are above, kN")


class DoubtfulJackRecord(Record):
    """A jack in doubt."""

    id: str = Field(description="of the jack")
    load_kN: ScatterRecord = Field(description="service load, kN")
    under: ProbabilityRecord = Field(description="that it is under the band")
    over: ProbabilityRecord = Field(description="that it is over the band")


class FrequencyRecord(Record):
    """The heave frequency in doubt."""

    nominal_hz: float = Field(description="without any doubt, Hz")
    mean_hz: float = Field(description="of the samples, Hz")
    deviation_hz: float = Field(description="standard deviation, Hz")
    percentile_5_hz: float = Field(description="Hz")
    percentile_95_hz: float = Field(description="Hz")
    target_hz: float | None = Field(description="upper limit of the case, Hz; null where none is given")
    above_target: ProbabilityRecord | None = Field(description="that it is above; null without a target")


class SourceRecord(Record):
    """What one source of doubt alone does."""

    name: str = Field(description="in words")
    share_of_load_variance: float = Field(description="0 to 1")
    share_of_frequency_variance: float = Field(description="0 to 1")
    load_ratio_deviation: float = Field(description="standard deviation of load over rated load")
    frequency_deviation_hz: float = Field(description="standard deviation, Hz")


class SpringOutRecord(Record):
    """One spring out of service; service and bare, if the others hold the slab, say what it comes to."""

    id: str = Field(description="of its jack")
    held: bool = Field(description="whether the other springs hold the slab")


class FailuresRecord(Record):
    """Springs out of service, one at a time."""

    cracking_moment_kNm_m: dict[str, float] = Field(description="load state -> cracking moment, kN·m/m")
    cracking_basis: dict[str, str] = Field(description="load state -> strength that it is from")
    worst: list[str] = Field(description="the worst of them, in sentences")
    springs: list[SpringOutRecord] = Field(description="every spring that was taken out")


class DoubtRecord(Record):
    """Doubt and failure."""

    assumptions: AssumptionsRecord = Field(description="what is taken for uncertain")
    jacks: list[DoubtfulJackRecord] = Field(description="every jack")
    any_jack_leaves_band: ProbabilityRecord = Field(description="that one or more leave the band")
    heave_frequency: FrequencyRecord = Field(description="in service")
    sources: list[SourceRecord] = Field(description="sources of doubt, each alone")
    sum_of_single_over_joint_variance: float | None = Field(description="1 where sources do not act on each other")
    failures: FailuresRecord = Field(description="springs out of service")
    left_out: list[str] = Field(description="what was not computed, and why")
