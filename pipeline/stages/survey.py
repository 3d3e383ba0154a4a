"""Stage 11, sampled surveys: what the whole collection would need, estimated from the volumes surveyed."""

from collections.abc import Iterator
from dataclasses import dataclass

import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.fields import STATES
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.survey import Estimate, Method, StratumSample, estimate_total, volumes_to_survey
from pipeline.units import PCT_OF_WHOLE

SURVEY_READS = (
    "clean.strata",
    "clean.volumes",
    "clean.campaign",
    "work.options",
    "work.option_costs",
    "work.volume_plans",
    "policy.figures",
)
Row = dict[str, object]


@dataclass(frozen=True)
class _Measure:
    """One measure: its unit and its value for each volume surveyed. `is_share`: 1 for a volume of the kind, else 0."""

    name: str
    unit: str
    by_volume: dict[str, float]
    is_share: bool = False


def estimate_survey(frames: Frames, _settings: Settings) -> Frames:
    """work.survey_estimates: none without strata. Sheets, hours and cost are those of each volume's fullest option.

    A volume without an option (on hold, no paper, no room, nothing needed) needs none of them.
    """
    strata = frames["clean.strata"].sort("stratum")
    in_all = dict(strata.select("stratum", "volumes_in_all").iter_rows())
    surveyed: dict[str, list[str]] = {stratum: [] for stratum in in_all}
    volumes = frames["clean.volumes"].sort("volume_id").select("volume_id", "stratum")
    for volume_id, stratum in volumes.iter_rows():
        if stratum in surveyed:
            surveyed[stratum].append(volume_id)
    rows: list[Row] = []
    for measure in _measures(frames) if in_all else ():
        samples = {
            stratum: StratumSample(
                tuple(measure.by_volume.get(volume_id, 0.0) for volume_id in surveyed[stratum]),
                in_all[stratum],
                measure.is_share,
            )
            for stratum in in_all
        }
        rows += _rows(measure, samples, figures(frames))
    return {"work.survey_estimates": TABLES["work.survey_estimates"].frame(rows)}


def _measures(frames: Frames) -> Iterator[_Measure]:
    fullest = (
        frames["work.options"]
        .sort("volume_id", "sheets", "option_no")
        .group_by("volume_id", maintain_order=True)
        .last()
        .select("volume_id", "option_no", "sheets")
        .join(frames["work.option_costs"], on=("volume_id", "option_no"), how="inner")
        .with_columns((pl.col("supplies_cost") + pl.col("staff_cost")).alias("cost"))
    )
    currency = str(frames["clean.campaign"]["currency"][0])
    for name, unit in (("sheets", "sheets"), ("hours", "hours"), ("cost", currency)):
        values = fullest.select("volume_id", pl.col(name).cast(pl.Float64)).iter_rows()
        yield _Measure(name, unit, dict(values))
    states = dict(frames["work.volume_plans"].select("volume_id", "state").iter_rows())
    for state in STATES:
        of_kind = {volume_id: float(own == state) for volume_id, own in states.items()}
        yield _Measure(f"volumes_{state}", "volumes", of_kind, is_share=True)


def _rows(measure: _Measure, samples: dict[str, StratumSample], policy: dict[str, float]) -> Iterator[Row]:
    method = Method(policy["survey.interval_pct"] / PCT_OF_WHOLE, policy["survey.unseen_share_count"])
    for stratum, sample in samples.items():
        yield _row(measure, [sample], estimate_total([sample], method)) | {"stratum": stratum}
    every = list(samples.values())
    whole = estimate_total(every, method)
    size = volumes_to_survey(every, _half_width(measure, every, whole, policy), method)
    yield _row(measure, every, whole) | {"volumes_to_survey": size}


def _half_width(
    measure: _Measure, strata: list[StratumSample], whole: Estimate, policy: dict[str, float]
) -> float:
    """The half-width wanted: a part of the estimate, for volumes of a kind a part of all volumes."""
    if measure.is_share:
        in_all = sum(stratum.volumes_in_all for stratum in strata)
        return in_all * policy["survey.share_precision_pct"] / PCT_OF_WHOLE
    return (whole.value or 0.0) * policy["survey.total_precision_pct"] / PCT_OF_WHOLE


def _row(measure: _Measure, strata: list[StratumSample], estimate: Estimate) -> Row:
    return {
        "measure": measure.name,
        "unit": measure.unit,
        "volumes_surveyed": sum(stratum.surveyed for stratum in strata),
        "volumes_in_all": sum(stratum.volumes_in_all for stratum in strata),
        "value": estimate.value,
        "value_standard_error": estimate.standard_error,
        "value_low": estimate.low,
        "value_high": estimate.high,
    }
