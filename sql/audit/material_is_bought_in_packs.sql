-- rule: What is bought is what is needed less what is on hand, in whole packs, at the pack's price.
with computed as (
    select
        material_totals.*,
        stock.paper_id as stock_paper_id,
        stock.form,
        stock.on_hand as stock_on_hand,
        stock.pack_price,
        greatest(0, material_totals.needed - stock.on_hand) as expected_to_buy,
        ceil(greatest(0, material_totals.needed - stock.on_hand) / stock.pack_quantity - 1e-6) as expected_packs
    from published.material_totals
    left join published.stock using (stock_id)
)
select
    stock_id,
    printf(
        'stock %s: needed %.4f, on hand %.4f, to buy %.4f, %d packs, cost %.2f; %.4f, %.0f packs, cost %.2f follow',
        stock_id, needed, on_hand, to_buy, packs, cost, coalesce(expected_to_buy, 0),
        coalesce(expected_packs, 0), coalesce(expected_packs * pack_price, 0)
    ) as what
from computed
where stock_paper_id is null
    or stock_paper_id <> paper_id
    or unit <> form
    or abs(on_hand - stock_on_hand) > 1e-6
    or abs(to_buy - expected_to_buy) > 1e-6
    or packs <> greatest(0, expected_packs)
    or abs(cost - packs * pack_price) > 1e-6
