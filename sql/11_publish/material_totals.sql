-- One row per stock line. Paper is ordered so that it arrives before the first cut that needs bought paper,
-- not before the campaign starts; no date where nothing is bought or that cut has none.
-- Reads work.material_needs, work.patterns, work.tasks, work.assignments, clean.stock, clean.campaign.
with first_cuts as (
    select patterns.stock_id, min(assignments.start_at) as start_at
    from work.patterns
    join work.tasks using (pattern_id)
    join work.assignments using (task_id)
    where patterns.from_offcut_of is null
    group by patterns.stock_id
)
select
    material_needs.stock_id,
    material_needs.paper_id,
    material_needs.unit,
    material_needs.needed,
    material_needs.on_hand,
    material_needs.to_buy,
    material_needs.packs,
    material_needs.cost,
    case when material_needs.to_buy > 0 and first_cuts.start_at is not null then greatest(
        campaign.start_date,
        cast(first_cuts.start_at as date) - cast(stock.lead_days as integer)
    ) end as order_by
from work.material_needs
join clean.stock using (stock_id)
cross join clean.campaign
left join first_cuts using (stock_id)
