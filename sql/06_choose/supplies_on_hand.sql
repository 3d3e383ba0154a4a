-- One row per paper or enclosure of which there is some in the lab: what it is worth, so that it need not be bought.
-- Paper at its least price of a square metre, as the options are costed.
-- Reads clean.stock, clean.enclosure_stock, work.paper_properties, policy.unit_factors.
with factors as (
    select max(factor) filter (unit_factor = 'mm2_per_m2') as mm2_per_m2
    from policy.unit_factors
),
papers as (
    select
        stock.paper_id,
        sum(stock.on_hand * stock.width_mm * stock.length_mm / mm2_per_m2 * paper_properties.price_per_m2
            order by stock.stock_id) as cost
    from clean.stock
    join work.paper_properties using (paper_id)
    cross join factors
    where stock.on_hand > 0
    group by stock.paper_id
)
select 'paper' as supply, paper_id as supply_id, cost
from papers
union all
select 'enclosure' as supply, enclosure_id as supply_id, on_hand * price as cost
from clean.enclosure_stock
where on_hand > 0
