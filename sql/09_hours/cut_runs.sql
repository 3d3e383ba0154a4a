-- One row per run of a cutting pattern: set-up and its share of the lifts, whole minutes, rounded up.
-- A pattern is one run, unless that would be longer than a day at the guillotine: then as few, as even runs as fit.
-- Reads work.patterns, clean.rates, policy.figures, policy.unit_factors. Source: trade model, section 8.
with figures as (
    select
        (select minutes from clean.rates where task = 'cut_setup') as setup_minutes,
        (select minutes from clean.rates where task = 'cut_lift') as lift_minutes,
        (select value from policy.figures where key = 'schedule.longest_run_hours')
            * (select factor from policy.unit_factors where unit_factor = 'minutes_per_hour') as longest_minutes,
        (select factor from policy.unit_factors where unit_factor = 'floor_guard') as floor_guard
),
most_lifts as (
    -- lifts that fit a run; where even one is too long, a run has one
    select
        *,
        case when lift_minutes > 0
            then greatest(1, floor((longest_minutes - setup_minutes) / lift_minutes + floor_guard))
        end as lifts_a_run
    from figures
),
runs as (
    select
        patterns.pattern_id,
        patterns.lifts,
        cast(greatest(1, ceil(patterns.lifts / coalesce(lifts_a_run, greatest(1, patterns.lifts)))) as bigint) as runs,
        setup_minutes,
        lift_minutes,
        floor_guard
    from work.patterns
    cross join most_lifts
),
numbered as (
    select *, unnest(range(1, runs + 1)) as run_no
    from runs
),
shared as (
    -- the first runs take one lift more where the lifts do not divide evenly
    select *, lifts // runs + case when run_no <= lifts % runs then 1 else 0 end as run_lifts
    from numbered
)
select
    pattern_id,
    cast(run_no as bigint) as run_no,
    cast(run_lifts as bigint) as lifts,
    cast(ceil(setup_minutes + run_lifts * lift_minutes - floor_guard) as bigint) as task_minutes
from shared
