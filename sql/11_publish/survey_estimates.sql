-- One row per measure of a sampled survey and stratum (blank: the whole collection). Reads work.survey_estimates.
select
    stratum,
    measure,
    unit,
    volumes_surveyed,
    volumes_in_all,
    value,
    value_standard_error,
    value_low,
    value_high,
    volumes_to_survey
from work.survey_estimates
