-- rule: Enclosure totals count the enclosures planned; what is bought is that less what is on hand, at its price.
with counted as (
    select
        enclosures.enclosure_id,
        count(*) as needed,
        coalesce(any_value(enclosure_stock.on_hand), 0) as on_hand,
        any_value(enclosures.price) as price
    from published.enclosures
    left join published.enclosure_stock using (enclosure_id)
    group by enclosures.enclosure_id
),
compared as (
    select
        coalesce(enclosure_totals.enclosure_id, counted.enclosure_id, 'made to measure') as enclosure,
        coalesce(enclosure_totals.needed, 0) as stated_needed,
        coalesce(enclosure_totals.to_buy, 0) as stated_to_buy,
        coalesce(enclosure_totals.cost, 0) as stated_cost,
        coalesce(enclosure_totals.on_hand, counted.on_hand) as stated_on_hand,
        coalesce(counted.needed, 0) as needed,
        coalesce(counted.on_hand, stated_on_hand) as on_hand,
        greatest(0, coalesce(counted.needed, 0) - coalesce(counted.on_hand, 0)) as to_buy,
        greatest(0, coalesce(counted.needed, 0) - coalesce(counted.on_hand, 0)) * coalesce(counted.price, 0) as cost
    from published.enclosure_totals
    full join counted on counted.enclosure_id is not distinct from enclosure_totals.enclosure_id
)
select
    enclosure,
    printf(
        '%s: needed %.0f, to buy %.1f, cost %.2f are stated; %d, %.1f, %.2f follow',
        enclosure, stated_needed, stated_to_buy, stated_cost, needed, to_buy, cost
    ) as what
from compared
where abs(stated_needed - needed) > 1e-6
    or abs(stated_on_hand - on_hand) > 1e-6
    or abs(stated_to_buy - to_buy) > 1e-6
    or abs(stated_cost - cost) > 1e-6
