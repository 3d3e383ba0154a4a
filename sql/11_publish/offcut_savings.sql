-- One row per stock line of which off-cuts spare fresh parents, valued as in paper_bounds.
-- Reads work.offcut_savings, clean.stock.
select
    offcut_savings.stock_id,
    stock.paper_id,
    offcut_savings.spared_quantity,
    cast(offcut_savings.spared_quantity * stock.pack_price / stock.pack_quantity as double) as spared_cost
from work.offcut_savings
join clean.stock using (stock_id)
