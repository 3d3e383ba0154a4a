-- One row, none where no off-cut is used: leaves cut from off-cuts and the fresh stock that spares.
-- `spared_sheets` counts parent sheets, not lengths off rolls; `spared_cost` both.
-- Reads published.offcut_uses, offcut_savings, stock.
with uses as (
    -- a pattern on off-cuts has a row for each of its sizes
    select sum(pieces_count) as pieces_count, sum(offcuts_count) filter (is_first) as offcuts_count
    from (
        select *, row_number() over (partition by pattern_id order by cut_size_id) = 1 as is_first
        from published.offcut_uses
    )
    having count(*) > 0
),
spared as (
    select
        sum(case when stock.form = 'sheet' then spared_quantity else 0 end) as spared_sheets,
        sum(spared_cost order by stock_id) as spared_cost
    from published.offcut_savings
    join published.stock using (stock_id)
)
select
    cast(uses.pieces_count as bigint) as pieces_count,
    cast(uses.offcuts_count as bigint) as offcuts_count,
    cast(coalesce(spared.spared_sheets, 0) as bigint) as spared_sheets,
    cast(coalesce(spared.spared_cost, 0) as double) as spared_cost
from uses
cross join spared
