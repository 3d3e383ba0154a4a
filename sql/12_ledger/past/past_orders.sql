-- One row per supply this plan has to buy by a day: paper in packs, stock enclosures, each enclosure made to measure.
-- Reads published.material_totals, enclosure_totals, enclosures, stock, enclosure_stock, tasks, policy.
with made_to_measure as (
    select cast(value as integer) as lead_days
    from policy.figures
    where key = 'rehousing.made_to_measure_lead_days'
),
dated as (
    select volume_id
    from published.tasks
    where kind = 'enclose' and start_at is not null
)
select
    run.revision,
    'paper' as supply,
    material_totals.stock_id as supply_id,
    '' as volume_id,
    cast(material_totals.packs * stock.pack_quantity as double) as ordered_count,
    material_totals.cost,
    material_totals.order_by as ordered_on,
    cast(material_totals.order_by + cast(stock.lead_days as integer) as date) as arrives_on,
    cast(null as double) as inner_width_mm,
    cast(null as double) as inner_height_mm,
    cast(null as double) as inner_depth_mm,
    cast(null as double) as price
from published.material_totals
join published.stock using (stock_id)
cross join published.run
where material_totals.to_buy > 0 and material_totals.order_by is not null
union all
select
    run.revision,
    'enclosure' as supply,
    enclosure_totals.enclosure_id as supply_id,
    '' as volume_id,
    enclosure_totals.to_buy as ordered_count,
    enclosure_totals.cost,
    enclosure_totals.order_by as ordered_on,
    cast(enclosure_totals.order_by + cast(enclosure_stock.lead_days as integer) as date) as arrives_on,
    null, null, null, null
from published.enclosure_totals
join published.enclosure_stock using (enclosure_id)
cross join published.run
where enclosure_totals.to_buy > 0 and enclosure_totals.order_by is not null
union all
select
    run.revision,
    'enclosure' as supply,
    'made for ' || enclosures.volume_id as supply_id,
    enclosures.volume_id,
    1 as ordered_count,
    enclosures.price as cost,
    enclosure_totals.order_by as ordered_on,
    cast(enclosure_totals.order_by + made_to_measure.lead_days as date) as arrives_on,
    enclosures.inner_width_mm,
    enclosures.inner_height_mm,
    enclosures.inner_depth_mm,
    enclosures.price
from published.enclosures
join dated using (volume_id)
join published.enclosure_totals on enclosure_totals.enclosure_id is null
cross join made_to_measure
cross join published.run
where enclosures.enclosure_id is null and enclosure_totals.order_by is not null
