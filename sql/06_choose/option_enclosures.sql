-- One row per option that brings a new enclosure: volumes marked new that are neither on hold nor to be treated
-- first; option 0 only where the volume needs no sheets (left out whole, it waits with its enclosure).
-- Inside needed = closed volume + clearance each way, not turned. A stock enclosure fits when it is at least that and
-- at most its slack larger; the one of least inner volume, then price, then id; else made to measure: no id, inside as
-- needed, policy price (trade model, section 9). Reads work.option_bulk, work.options, work.fit_states,
-- clean.volumes, clean.enclosure_stock, policy.figures, policy.unit_factors.
with figures as (
    select
        max(value) filter (key = 'rehousing.enclosure_clearance_mm') as clearance_mm,
        max(value) filter (key = 'rehousing.made_to_measure_price') as made_to_measure_price
    from policy.figures
),
factors as (
    select max(factor) filter (unit_factor = 'floor_guard') as guard_mm
    from policy.unit_factors
),
with_sheets as (
    select distinct volume_id
    from work.options
    where sheets > 0
),
wanted as (
    select
        option_bulk.volume_id,
        option_bulk.option_no,
        option_bulk.shelved,
        option_bulk.closed_width_mm + clearance_mm as width_mm,
        option_bulk.closed_height_mm + clearance_mm as height_mm,
        option_bulk.closed_thickness_mm + clearance_mm as depth_mm
    from work.option_bulk
    join clean.volumes using (volume_id)
    join work.fit_states using (volume_id)
    left join with_sheets using (volume_id)
    cross join figures
    where volumes.enclosure = 'new'
        and fit_states.state not in ('on_hold', 'treat_first')
        and (option_bulk.sheets > 0 or with_sheets.volume_id is null)
),
fitting as (
    select
        wanted.volume_id,
        wanted.option_no,
        enclosure_stock.enclosure_id,
        enclosure_stock.inner_width_mm,
        enclosure_stock.inner_height_mm,
        enclosure_stock.inner_depth_mm,
        enclosure_stock.price
    from wanted
    cross join factors
    join clean.enclosure_stock
        on enclosure_stock.inner_width_mm between width_mm - guard_mm and width_mm + max_slack_mm + guard_mm
        and enclosure_stock.inner_height_mm between height_mm - guard_mm and height_mm + max_slack_mm + guard_mm
        and enclosure_stock.inner_depth_mm between depth_mm - guard_mm and depth_mm + max_depth_slack_mm + guard_mm
    qualify row_number() over (
        partition by wanted.volume_id, wanted.option_no
        order by
            enclosure_stock.inner_width_mm * enclosure_stock.inner_height_mm * enclosure_stock.inner_depth_mm,
            enclosure_stock.price,
            enclosure_stock.enclosure_id
    ) = 1
)
select
    wanted.volume_id,
    wanted.option_no,
    fitting.enclosure_id,
    coalesce(fitting.inner_width_mm, wanted.width_mm) as inner_width_mm,
    coalesce(fitting.inner_height_mm, wanted.height_mm) as inner_height_mm,
    coalesce(fitting.inner_depth_mm, wanted.depth_mm) as inner_depth_mm,
    coalesce(fitting.price, figures.made_to_measure_price) as price,
    wanted.shelved
from wanted
left join fitting using (volume_id, option_no)
cross join figures
