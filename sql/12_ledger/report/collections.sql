-- One row per collection, the whole last: planned by the first revision, done until the day, left on that day.
-- Reads work.past_revisions, past_volumes, labour_done, published.planned_months, raw.run.
with as_of as (
    select as_of from raw.run
),
planned as (
    select collection, sum(hours order by month) as hours_planned, sum(sheets) as sheets_planned, sum(count) as volumes_planned
    from published.planned_months
    group by collection
),
done as (
    select
        labour_done.collection,
        sum(hours_taken order by line_id) as hours_done,
        sum(laid_sheets_count) as sheets_done,
        count(distinct volume_id) filter (progress = 'done') as volumes_done
    from work.labour_done
    cross join as_of
    where done_on <= as_of
    group by labour_done.collection
),
parts as (
    select
        coalesce(planned.collection, done.collection) as collection,
        coalesce(hours_planned, 0) as hours_planned,
        coalesce(hours_done, 0) as hours_done,
        coalesce(sheets_planned, 0) as sheets_planned,
        coalesce(sheets_done, 0) as sheets_done,
        coalesce(volumes_planned, 0) as volumes_planned,
        coalesce(volumes_done, 0) as volumes_done
    from planned
    full join done on done.collection = planned.collection
)
select * from (
    select *, 0 as place from parts
    union all
    select
        'All collections', sum(hours_planned order by collection), sum(hours_done order by collection),
        sum(sheets_planned), sum(sheets_done), sum(volumes_planned), sum(volumes_done), 1
    from parts
)
order by place, collection
