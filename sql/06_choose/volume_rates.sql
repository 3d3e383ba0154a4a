-- One row per volume and task it may have: minutes by the returns of the volumes of its skill and class where there are
-- any, else by the rates of all. Cutting is of no volume. Reads clean.volumes, clean.rates, work.learned_rates,
-- policy.figures. Source: trade model, section 8.
with classes as (
    select
        volumes.volume_id,
        volumes.skill,
        case when volumes.page_height_mm > figures.value then 'large pages' else 'pages up to the large height' end
            as volume_class
    from clean.volumes
    cross join policy.figures
    where figures.key = 'learn.large_page_height_mm'
),
learned as (
    select *
    from work.learned_rates
    where subject = 'rate' and skill is not null and is_used
)
select
    classes.volume_id,
    rates.task,
    coalesce(learned.learned_value, rates.minutes) as minutes,
    coalesce(learned.low_value, rates.minutes_low) as minutes_low,
    coalesce(learned.high_value, rates.minutes_high) as minutes_high,
    rates.skill
from classes
cross join clean.rates
left join learned
    on learned.subject_id = rates.task
    and learned.skill = classes.skill
    and learned.volume_class = classes.volume_class
where rates.task not in ('cut_setup', 'cut_lift')
