-- One row per stock line and enclosure of the inventory whose delivery, ordered on the campaign's first day, comes after
-- its last. Reads clean.stock, clean.enclosure_stock, clean.campaign, work.named_ids.
with named as (
    select named_id, field, sheet, row_no
    from work.named_ids
    where is_own and field in ('stock_id', 'enclosure_id')
),
supplies as (
    select 'stock_id' as id_field, stock_id as supply_id, lead_days, on_hand from clean.stock
    union all
    select 'enclosure_id', enclosure_id, lead_days, on_hand from clean.enclosure_stock
)
select
    'delivery_after_end' as code,
    'warning' as level,
    named.sheet,
    named.row_no,
    'lead_days' as field,
    '' as volume_id,
    supply_id || ' ordered on ' || start_date || ' comes on ' || (start_date + cast(lead_days as integer))
        || ', after the campaign ends on ' || end_date
        || case when on_hand > 0 then '; only what is on hand is used' else '; it is not used' end as message,
    'check lead_days, end later, or order before the campaign and count it as on hand' as action
from supplies
join named on named.field = supplies.id_field and named.named_id = supplies.supply_id
cross join clean.campaign
where start_date + cast(lead_days as integer) > end_date
