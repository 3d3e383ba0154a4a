-- rule: Enclosure totals count the enclosures planned; what is bought is that less what is on hand, at its price.
-- All whose enclosing is dated count; one whose re-housing does not fit the campaign may be left out.
with enclosing as (
    select volume_id
    from published.tasks
    where kind = 'enclose' and start_at is not null
),
counted as (
    select
        enclosures.enclosure_id,
        count(*) as planned,
        count(enclosing.volume_id) as dated,
        coalesce(any_value(enclosure_stock.on_hand), 0) as on_hand,
        any_value(enclosures.price) as price
    from published.enclosures
    left join published.enclosure_stock using (enclosure_id)
    left join enclosing using (volume_id)
    group by enclosures.enclosure_id
),
compared as (
    select
        coalesce(enclosure_totals.enclosure_id, counted.enclosure_id, 'made to measure') as enclosure,
        coalesce(enclosure_totals.needed, 0) as needed,
        coalesce(enclosure_totals.to_buy, 0) as to_buy,
        coalesce(enclosure_totals.cost, 0) as cost,
        coalesce(enclosure_totals.on_hand, counted.on_hand) as stated_on_hand,
        coalesce(counted.on_hand, 0) as on_hand,
        coalesce(counted.planned, 0) as planned,
        coalesce(counted.dated, 0) as dated,
        greatest(0, coalesce(enclosure_totals.needed, 0) - coalesce(counted.on_hand, 0)) as expected_to_buy,
        coalesce(counted.price, 0) as price
    from published.enclosure_totals
    full join counted on counted.enclosure_id is not distinct from enclosure_totals.enclosure_id
)
select
    enclosure,
    printf(
        '%s: needed %.0f (planned %d, dated %d), to buy %.1f, cost %.2f are stated; %.1f, %.2f follow',
        enclosure, needed, planned, dated, to_buy, cost, expected_to_buy, expected_to_buy * price
    ) as what
from compared
where needed < dated - 1e-6
    or needed > planned + 1e-6
    or abs(stated_on_hand - on_hand) > 1e-6
    or abs(to_buy - expected_to_buy) > 1e-6
    or abs(cost - expected_to_buy * price) > 1e-6
