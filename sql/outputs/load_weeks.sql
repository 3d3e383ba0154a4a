-- One row per person and week, and per week for all people together (no staff_id, first): hours planned of the hours
-- there are, and the same over the whole campaign. Reads published.staff_weeks.
with both_kinds as (
    select
        staff_id,
        week_start,
        sum(hours_available) as hours_available,
        sum(hours_planned) as hours_planned
    from published.staff_weeks
    group by grouping sets ((staff_id, week_start), (week_start))
)
select
    staff_id,
    week_start,
    cast(hours_available as double) as hours_available,
    cast(hours_planned as double) as hours_planned,
    cast(sum(hours_available) over (partition by staff_id) as double) as campaign_available,
    cast(sum(hours_planned) over (partition by staff_id) as double) as campaign_planned
from both_kinds
order by staff_id nulls first, week_start
