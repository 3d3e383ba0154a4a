-- One row per visit to the guillotine (a person's cuts of one day): its tickets, and the volumes whose leaves are all
-- cut after it. Reads published.tasks, pattern_pieces, cut_size_volumes.
with cuts as (
    select
        task_id, pattern_id, staff_id, start_at, finish_at, hours,
        dense_rank() over (order by cast(start_at as date), staff_id) as visit_no
    from published.tasks
    where kind = 'cut' and start_at is not null
),
yields as (
    select distinct pattern_id, cut_size_id from published.pattern_pieces
),
served as (
    -- a volume is ready after the last of its cuts, and only when all of them are dated
    select served.volume_id, max(cuts.visit_no) as visit_no
    from published.cut_size_volumes as served
    join yields using (cut_size_id)
    left join cuts using (pattern_id)
    group by served.volume_id
    having count(*) filter (cuts.visit_no is null) = 0
),
ready as (
    select visit_no, count(*) as volumes, string_agg(volume_id, ', ' order by volume_id) as volume_list
    from served
    group by visit_no
),
visits as (
    select
        visit_no,
        any_value(staff_id) as staff_id,
        min(start_at) as first_start_at,
        max(finish_at) as last_finish_at,
        count(distinct pattern_id) as tickets,
        sum(hours order by task_id) as hours
    from cuts
    group by visit_no
)
select
    cast(visits.visit_no as bigint) as visit_no,
    visits.staff_id,
    visits.first_start_at,
    visits.last_finish_at,
    cast(visits.tickets as bigint) as tickets,
    visits.hours,
    cast(coalesce(ready.volumes, 0) as bigint) as volumes,
    coalesce(ready.volume_list, '') as volume_list
from visits
left join ready using (visit_no)
order by visits.visit_no
