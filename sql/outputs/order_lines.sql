-- One row per stock line that leaves are cut from: what to buy, by when, at what price.
-- Reads published.material_totals, stock, papers. `unit`: sheet or roll. Soonest order first.
select
    totals.stock_id,
    totals.paper_id,
    papers.description,
    totals.unit,
    stock.width_mm,
    stock.length_mm,
    stock.grain,
    totals.needed,
    totals.on_hand,
    totals.to_buy,
    stock.pack_quantity,
    stock.pack_price,
    totals.packs,
    totals.cost,
    stock.lead_days,
    totals.order_by
from published.material_totals as totals
join published.stock as stock using (stock_id)
join published.papers as papers on papers.paper_id = totals.paper_id
where totals.needed > 0
order by totals.order_by nulls last, totals.paper_id, totals.stock_id
