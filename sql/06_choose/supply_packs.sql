-- One row per paper with stock, stock enclosure, and for enclosures made to measure (blank id): worth of what stands in
-- the lab, price of a pack to buy, empty where nothing ordered on the first day arrives by the last.
-- Paper is valued at its least price of a square metre, as the options are costed; the pack is that of the stock line
-- of least price a square metre (the smaller, then the first by id, of several). An enclosure is a pack of its own.
-- Reads clean.stock, clean.enclosure_stock, clean.campaign, work.paper_properties, policy.figures, policy.unit_factors.
with factors as (
    select max(factor) filter (unit_factor = 'mm2_per_m2') as mm2_per_m2
    from policy.unit_factors
),
made_to_measure as (
    select
        max(value) filter (key = 'rehousing.made_to_measure_price') as price,
        max(value) filter (key = 'rehousing.made_to_measure_lead_days') as lead_days
    from policy.figures
),
campaign as (
    select end_date - start_date as most_lead_days
    from clean.campaign
),
lines as (
    select
        stock.paper_id,
        stock.stock_id,
        stock.pack_price,
        stock.width_mm * stock.length_mm / mm2_per_m2 as piece_m2,
        stock.on_hand,
        stock.pack_quantity,
        stock.lead_days <= campaign.most_lead_days as arrives
    from clean.stock
    cross join factors
    cross join campaign
),
papers as (
    select
        lines.paper_id,
        sum(lines.on_hand * lines.piece_m2 * paper_properties.price_per_m2 order by lines.stock_id) as cost,
        first(lines.pack_price order by
            lines.pack_price / (lines.pack_quantity * lines.piece_m2), lines.pack_price, lines.stock_id
        ) filter (lines.arrives) as pack_price
    from lines
    join work.paper_properties using (paper_id)
    group by lines.paper_id
)
select 'paper' as supply, paper_id as supply_id, cost, pack_price
from papers
union all
select
    'enclosure' as supply,
    enclosure_id as supply_id,
    on_hand * price as cost,
    case when lead_days <= most_lead_days then price end as pack_price
from clean.enclosure_stock
cross join campaign
union all
select
    'enclosure' as supply,
    '' as supply_id,
    cast(0 as double) as cost,
    case when lead_days <= most_lead_days then price end as pack_price
from made_to_measure
cross join campaign
