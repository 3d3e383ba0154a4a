-- rule: Whole-collection estimates follow from the volumes surveyed, and their intervals hold them.
-- Volumes by state in a stratum: its volumes in all times the share of that state among those surveyed.
with surveyed as (
    select stratum, count(*) as surveyed_count
    from published.volumes
    where stratum is not null
    group by stratum
),
seen as (
    select stratum, 'volumes_' || state as measure, count(*) as seen_count
    from published.volumes
    where stratum is not null
    group by stratum, state
),
expected as (
    select
        estimates.*,
        coalesce(surveyed.surveyed_count, 0) as surveyed_count,
        strata.volumes_in_all as stratum_in_all,
        case
            when estimates.measure like 'volumes_%'
                then strata.volumes_in_all * coalesce(seen.seen_count, 0) / nullif(surveyed.surveyed_count, 0)
        end as expected_value
    from published.survey_estimates as estimates
    left join published.strata as strata using (stratum)
    left join surveyed using (stratum)
    left join seen using (stratum, measure)
)
select
    coalesce(stratum, 'all') as stratum,
    printf('%s of %s: %.3f, not %.3f, by the sample', measure, stratum, value, expected_value) as what
from expected
where stratum is not null and abs(value - expected_value) > 1e-6
union all by name
select
    coalesce(stratum, 'all') as stratum,
    printf('%s of %s: the interval %.3f to %.3f does not hold %.3f', measure, coalesce(stratum, 'all'), value_low,
        value_high, value) as what
from expected
where value not between value_low - 1e-6 and value_high + 1e-6
union all by name
select
    stratum,
    printf('%s: %d surveyed of %d, the volumes say %d of %d', stratum, volumes_surveyed, volumes_in_all, surveyed_count,
        coalesce(stratum_in_all, 0)) as what
from expected
where stratum is not null
    and (volumes_surveyed <> surveyed_count or volumes_in_all <> coalesce(stratum_in_all, 0))
