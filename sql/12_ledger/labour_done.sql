-- One row per returned line that stands: hours, their cost, and what was done, by collection; no names.
-- The hours of cutting are shared by the sheets that their revision planned for each collection.
-- Reads work.past_lines, work.past_volumes, work.past_staff, policy.unit_factors.
with gone as (
    select distinct trim(unnest(string_split(supersedes, ','))) as line_id
    from work.past_lines
),
lines as (
    select
        past_lines.*,
        (coalesce(past_lines.minutes_taken, 0) + coalesce(past_lines.other_minutes, 0)) / factors.factor as hours_taken,
        coalesce(past_staff.hourly_rate, 0) as hourly_rate
    from work.past_lines
    anti join gone using (line_id)
    left join work.past_staff using (revision, staff_id)
    cross join policy.unit_factors as factors
    where past_lines.progress <> 'not_done' and factors.unit_factor = 'minutes_per_hour'
),
latest as (
    -- leaves count on the line that says last how many lie in the volume
    select arg_max(line_id, (done_on, line_id)) as line_id
    from lines
    where volume_id is not null
    group by revision, volume_id
),
shares as (
    select revision, collection, sum(sheets) / nullif(sum(sum(sheets)) over (partition by revision), 0) as share
    from work.past_volumes
    group by revision, collection
)
select
    lines.line_id,
    past_volumes.collection,
    case when past_volumes.sheets > 0 then 'interleave' else 'enclose' end as kind,
    lines.volume_id,
    lines.progress,
    lines.done_on,
    lines.hours_taken,
    lines.hours_taken * lines.hourly_rate as cost,
    case when latest.line_id is not null then coalesce(lines.used_sheets_count, 0) else 0 end as laid_sheets_count
from lines
left join latest using (line_id)
join work.past_volumes using (revision, volume_id)
union all
select
    lines.line_id,
    shares.collection,
    'cut' as kind,
    null as volume_id,
    lines.progress,
    lines.done_on,
    lines.hours_taken * shares.share as hours_taken,
    lines.hours_taken * lines.hourly_rate * shares.share as cost,
    cast(0 as bigint) as laid_sheets_count
from lines
join shares using (revision)
where lines.pattern_id is not null and shares.share > 0
