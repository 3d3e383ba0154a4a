-- One row per collection and month: what the first revision planned, to set what is done against.
-- Cutting hours are shared by sheets. Reads work.past_revisions, past_tasks, past_volumes; published.tasks, volumes.
with first as (
    select revision from work.past_revisions order by planned_at, as_of, revision limit 1
),
tasks as (
    select kind, volume_id, minutes_planned / factors.factor as hours, finish_at
    from work.past_tasks
    join first using (revision)
    cross join policy.unit_factors as factors
    where factors.unit_factor = 'minutes_per_hour'
    union all
    select kind, volume_id, hours, finish_at
    from published.tasks
    where not exists (from first)
),
volumes as (
    select volume_id, collection, sheets
    from work.past_volumes
    join first using (revision)
    union all
    select volume_id, collection, sheets
    from published.volumes
    where not exists (from first)
),
shares as (
    select collection, sum(sheets) / nullif(sum(sum(sheets)) over (), 0) as share
    from volumes
    group by collection
),
parts as (
    select
        volumes.collection,
        strftime(tasks.finish_at, '%Y-%m') as month,
        tasks.hours,
        case when tasks.kind = 'interleave' then volumes.sheets else 0 end as sheets,
        case when tasks.kind = 'return' then 1 else 0 end as count
    from tasks
    join volumes using (volume_id)
    where tasks.finish_at is not null
    union all
    select
        shares.collection, strftime(tasks.finish_at, '%Y-%m') as month, tasks.hours * shares.share, 0, 0
    from tasks
    cross join shares
    where tasks.kind = 'cut' and tasks.finish_at is not null and shares.share > 0
)
select
    collection,
    month,
    cast(sum(hours order by hours) as double) as hours,
    cast(sum(sheets) as bigint) as sheets,
    cast(sum(count) as bigint) as count
from parts
group by collection, month
