-- One row per enclosure that is needed: what to buy, by when, at what price; no id: made to measure.
-- Reads published.enclosure_totals, enclosure_stock, policy.
with made as (
    select
        max(value) filter (where key = 'rehousing.made_to_measure_price') as price,
        max(value) filter (where key = 'rehousing.made_to_measure_lead_days') as lead_days
    from published.policy
)
select
    totals.enclosure_id,
    stock.inner_width_mm,
    stock.inner_height_mm,
    stock.inner_depth_mm,
    totals.needed,
    totals.on_hand,
    totals.to_buy,
    cast(coalesce(stock.price, made.price) as double) as price,
    totals.cost,
    cast(coalesce(stock.lead_days, made.lead_days) as bigint) as lead_days,
    totals.order_by
from published.enclosure_totals as totals
cross join made
left join published.enclosure_stock as stock using (enclosure_id)
where totals.needed > 0
order by totals.order_by nulls last, totals.enclosure_id nulls last
