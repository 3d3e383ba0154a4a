-- rule: No choice of cutting beats its own proven least or that of a freer choice, and one of each kind is the plan's.
with clearances as (
    select
        'clearance ' || most_clearance_mm || ' mm' as choice, most_clearance_mm as freedom, is_planned,
        cut_sizes, lower_bound, cost_needed, cost_lower_bound
    from published.clearance_choices
),
sizes_per_sheet as (
    select
        coalesce(max_sizes_per_sheet::varchar, 'any number') || ' sizes a sheet' as choice,
        coalesce(max_sizes_per_sheet, 1e9)::double as freedom, is_planned,
        0 as cut_sizes, 0 as lower_bound, cost_needed, cost_lower_bound
    from published.sizes_per_sheet_choices
),
unsound as (
    select
        choice,
        printf(
            '%s: %d sizes, at least %d; cost %.4f, at least %.4f',
            choice, cut_sizes, lower_bound, cost_needed, cost_lower_bound
        ) as what
    from (select * from clearances union all select * from sizes_per_sheet)
    where cut_sizes < lower_bound or cost_needed < cost_lower_bound - 1e-6
),
freer as (
    select
        less.choice,
        printf('%s takes %d sizes, %s at least %d', less.choice, less.cut_sizes, more.choice, more.lower_bound) as what
    from clearances as less
    join clearances as more on more.freedom > less.freedom
    where more.lower_bound > less.cut_sizes
    union all
    select
        less.choice,
        printf(
            '%s costs %.4f, %s at least %.4f', less.choice, less.cost_needed, more.choice, more.cost_lower_bound
        ) as what
    from sizes_per_sheet as less
    join sizes_per_sheet as more on more.freedom > less.freedom
    where more.cost_lower_bound > less.cost_needed + 1e-6
),
marked as (
    select 'clearance' as choice, count(*) as choices, count(*) filter (is_planned) as planned from clearances
    union all
    select 'sizes a sheet', count(*), count(*) filter (is_planned) from sizes_per_sheet
)
select choice, what from unsound
union all
select choice, what from freer
union all
select choice, printf('%s: %d choices are marked as the plan''s', choice, planned) as what
from marked
where choices > 0 and planned <> 1
