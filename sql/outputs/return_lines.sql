-- One row per volume with work, in the order of the work: what comes back from the bench.
-- Reads published.tasks, volumes, run. Lengths mm; no fore edge where it is not to be measured.
-- has_old_leaves, has_box: steps that a row about a part-done volume may tell of.
-- fore_edge_limit_mm: planned fore edge plus the headroom the plan leaves (trade model, section 5).
with factors as (
    select factor as um_per_mm from policy.unit_factors where unit_factor = 'um_per_mm'
),
work as (
    select
        volume_id,
        min(start_at) as first_start_at,
        bool_or(kind = 'interleave') as has_sheets,
        bool_or(kind = 'check') as has_check,
        bool_or(kind = 'remove') as has_old_leaves,
        bool_or(kind = 'enclose') as has_box
    from published.tasks
    where volume_id is not null
    group by volume_id
)
select
    run.revision,
    work.volume_id,
    case
        when work.has_sheets and work.has_box then 'interleave and box'
        when work.has_sheets then 'interleave'
        when work.has_check and work.has_box then 'check and box'
        when work.has_check then 'check'
        when work.has_box then 'box only'
        else 'return only'
    end as work,
    cast(work.first_start_at as date) as planned_day,
    case when work.has_check then volumes.fore_edge_after_mm end as fore_edge_after_mm,
    cast(
        case
            when work.has_check
                then volumes.fore_edge_after_mm + (volumes.headroom_um - volumes.added_um) / factors.um_per_mm
        end as double
    ) as fore_edge_limit_mm,
    work.has_old_leaves,
    work.has_box
from work
join published.volumes as volumes using (volume_id)
cross join published.run as run
cross join factors
order by work.first_start_at nulls last, work.volume_id
