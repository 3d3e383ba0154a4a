-- rule: No cut that needs bought paper starts before it can have arrived, and it is ordered in time.
-- Patterns take what is on hand in the order of their first cut; the first that goes beyond it needs bought paper.
-- Source: trade model, section 8: ordered on the campaign's first day at the earliest.
with first_cuts as (
    select
        patterns.stock_id,
        patterns.pattern_id,
        case stock.form
            when 'roll' then patterns.sheets * patterns.sheet_length_mm / stock.length_mm
            else patterns.sheets
        end as needed,
        min(tasks.start_at) as start_at
    from published.patterns
    join published.stock using (stock_id)
    join published.tasks using (pattern_id)
    where patterns.from_offcut_of is null and tasks.start_at is not null
    group by all
),
taken as (
    select
        stock_id,
        start_at,
        sum(needed) over (partition by stock_id order by start_at, pattern_id) as taken
    from first_cuts
),
buying as (
    select taken.stock_id, cast(min(taken.start_at) as date) as first_day
    from taken
    join published.stock using (stock_id)
    where taken.taken > stock.on_hand + 1e-6
    group by taken.stock_id
)
select
    material_totals.stock_id,
    printf(
        'stock %s: first cut of bought paper on %s, ordered by %s with %d days to deliver, campaign from %s',
        material_totals.stock_id, coalesce(cast(buying.first_day as varchar), 'no day'),
        coalesce(cast(material_totals.order_by as varchar), 'no day'), stock.lead_days,
        cast(run.start_date as varchar)
    ) as what
from published.material_totals
join published.stock using (stock_id)
cross join published.run
left join buying using (stock_id)
where (buying.stock_id is not null) <> (material_totals.order_by is not null)
    or material_totals.order_by < run.start_date
    or buying.first_day < run.start_date + cast(stock.lead_days as integer)
    or buying.first_day < material_totals.order_by + cast(stock.lead_days as integer)
