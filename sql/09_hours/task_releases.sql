-- One row per task that may not start before a day: cut where its paper must be bought, enclose where the enclosure
-- must. Ordered on the first day of the campaign, delivered lead_days calendar days later. Where stock on hand covers
-- a part only, all of its tasks wait for the delivery. An enclosure no budget pays arrives after the campaign.
-- Reads work.tasks, work.patterns, work.material_needs, work.enclosure_fits, clean.stock, clean.enclosure_stock,
-- clean.campaign, policy.figures. Source: trade model, sections 8 and 9.
with bought_paper as (
    select stock.stock_id, stock.lead_days
    from clean.stock
    join work.material_needs using (stock_id)
    where material_needs.to_buy > 0
),
enclose_tasks as (
    select tasks.task_id, enclosure_fits.enclosure_id, enclosure_fits.is_funded
    from work.tasks
    join work.enclosure_fits using (volume_id)
    where tasks.kind = 'enclose'
),
bought_enclosures as (
    select enclosure_stock.enclosure_id, enclosure_stock.lead_days
    from enclose_tasks
    join clean.enclosure_stock using (enclosure_id)
    where enclose_tasks.is_funded
    group by enclosure_stock.enclosure_id, enclosure_stock.lead_days, enclosure_stock.on_hand
    having count(*) > enclosure_stock.on_hand
),
made_to_measure as (
    select value as lead_days
    from policy.figures
    where key = 'rehousing.made_to_measure_lead_days'
),
campaign as (
    select start_date, end_date - start_date + 1 as days
    from clean.campaign
),
waits as (
    select tasks.task_id, bought_paper.lead_days
    from work.tasks
    join work.patterns using (pattern_id)
    join bought_paper using (stock_id)
    union all
    select enclose_tasks.task_id, bought_enclosures.lead_days
    from enclose_tasks
    join bought_enclosures using (enclosure_id)
    where enclose_tasks.is_funded
    union all
    select enclose_tasks.task_id, made_to_measure.lead_days
    from enclose_tasks
    cross join made_to_measure
    where enclose_tasks.is_funded and enclose_tasks.enclosure_id is null
    union all
    select enclose_tasks.task_id, campaign.days
    from enclose_tasks
    cross join campaign
    where not enclose_tasks.is_funded
),
arrivals as (
    -- what an earlier revision ordered and has not arrived
    select tasks.task_id, deliveries.arrives_on as day
    from work.tasks
    join work.patterns using (pattern_id)
    join work.deliveries on deliveries.supply = 'paper' and deliveries.supply_id = patterns.stock_id
    union all
    select enclose_tasks.task_id, deliveries.arrives_on
    from enclose_tasks
    join work.deliveries
        on deliveries.supply = 'enclosure' and deliveries.supply_id = enclose_tasks.enclosure_id
),
releases as (
    select
        waits.task_id,
        cast(campaign.start_date + cast(ceil(waits.lead_days) as integer) as date) as day
    from waits
    cross join campaign
    where waits.lead_days > 0
    union all
    select task_id, day from arrivals
)
select task_id, max(day) as day
from releases
group by task_id
