-- One row per month and collection, the whole after each month: planned by the first revision, done until the day.
-- Reads published.planned_months, work.labour_done, raw.run.
with as_of as (
    select as_of from raw.run
),
done as (
    select
        collection,
        strftime(done_on, '%Y-%m') as month,
        sum(hours_taken order by line_id) as hours_done,
        sum(laid_sheets_count) as sheets_done,
        count(distinct volume_id) filter (progress = 'done') as volumes_done
    from work.labour_done
    cross join as_of
    where done_on <= as_of
    group by collection, strftime(done_on, '%Y-%m')
),
parts as (
    select
        coalesce(planned.month, done.month) as month,
        coalesce(planned.collection, done.collection) as collection,
        coalesce(planned.hours, 0) as hours_planned,
        coalesce(done.hours_done, 0) as hours_done,
        coalesce(planned.sheets, 0) as sheets_planned,
        coalesce(done.sheets_done, 0) as sheets_done,
        coalesce(planned.count, 0) as volumes_planned,
        coalesce(done.volumes_done, 0) as volumes_done
    from published.planned_months as planned
    full join done on done.month = planned.month and done.collection = planned.collection
)
select * exclude (place) from (
    select *, 0 as place from parts
    union all
    select
        month, 'All collections', sum(hours_planned order by collection), sum(hours_done order by collection),
        sum(sheets_planned), sum(sheets_done), sum(volumes_planned), sum(volumes_done), 1
    from parts
    group by month
)
order by month, place, collection
