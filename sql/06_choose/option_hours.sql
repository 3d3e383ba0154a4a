-- One row per option and least skill: estimated minutes of work, before the cut plan is known.
-- Fetch and return where anything is done; remove (per old leaf), interleave, check and the leaves' share of cutting
-- where there are sheets; enclose where the option brings an enclosure. A task's least skill is the higher of the
-- rate's and, for remove, interleave and check, the volume's (trade model, section 8).
-- Reads work.option_bulk, work.option_enclosures, clean.volumes, clean.rates, clean.campaign, policy.figures.
with skill_ranks as (
    select * from (values ('volunteer', 1), ('technician', 2), ('conservator', 3)) as ranks (skill, skill_rank)
),
rates as (
    select
        rates.task,
        rates.minutes,
        skill_ranks.skill_rank
    from clean.rates
    join skill_ranks using (skill)
),
cutting as (
    -- minutes of one leaf: a set-up and a lift shared by the leaves of a run, spares included
    select
        sum(rates.minutes) * (1 + any_value(campaign.spares_pct) / 100) / any_value(figures.value)
            as minutes_per_sheet,
        max(rates.skill_rank) as skill_rank
    from rates
    cross join clean.campaign
    cross join policy.figures
    where rates.task in ('cut_setup', 'cut_lift')
        and figures.key = 'choose.expected_leaves_per_run_count'
),
options as (
    select
        option_bulk.volume_id,
        option_bulk.option_no,
        option_bulk.sheets,
        volumes.existing_leaves,
        skill_ranks.skill_rank,
        option_enclosures.volume_id is not null as has_enclosure,
        case when coalesce(starts_with(option_enclosures.enclosure_id, 'made for '), true) then 'enclose_made_to_measure' else 'enclose' end as enclose_task
    from work.option_bulk
    join clean.volumes using (volume_id)
    join skill_ranks using (skill)
    left join work.option_enclosures using (volume_id, option_no)
),
tasks as (
    select volume_id, option_no, rates.minutes, rates.skill_rank
    from options
    join rates on rates.task in ('fetch', 'return')
    where options.sheets > 0 or options.has_enclosure
    union all by name
    select
        volume_id, option_no, rates.minutes * options.existing_leaves as minutes,
        greatest(rates.skill_rank, options.skill_rank) as skill_rank
    from options
    join rates on rates.task = 'remove'
    where options.sheets > 0 and options.existing_leaves > 0
    union all by name
    -- interleaving is one task: its volume and its sheets share the higher skill
    select
        volume_id, option_no, per_volume.minutes + per_sheet.minutes * options.sheets as minutes,
        greatest(per_volume.skill_rank, per_sheet.skill_rank, options.skill_rank) as skill_rank
    from options
    join rates as per_volume on per_volume.task = 'interleave_volume'
    join rates as per_sheet on per_sheet.task = 'interleave_sheet'
    where options.sheets > 0
    union all by name
    select
        volume_id, option_no, rates.minutes,
        greatest(rates.skill_rank, options.skill_rank) as skill_rank
    from options
    join rates on rates.task = 'check'
    where options.sheets > 0
    union all by name
    select volume_id, option_no, rates.minutes, rates.skill_rank
    from options
    join rates on rates.task = options.enclose_task
    where options.has_enclosure
    union all by name
    select volume_id, option_no, cutting.minutes_per_sheet * options.sheets as minutes, cutting.skill_rank
    from options
    cross join cutting
    where options.sheets > 0
)
select
    tasks.volume_id,
    tasks.option_no,
    skill_ranks.skill,
    cast(sum(tasks.minutes order by tasks.minutes) as double) as minutes
from tasks
join skill_ranks using (skill_rank)
group by tasks.volume_id, tasks.option_no, skill_ranks.skill
