-- One row per stock line: parent sheets or rolls needed, what stands in the lab, what to buy in whole packs.
-- Of a roll the length cut off counts, as a share of the roll. A parent that is an off-cut needs no fresh paper.
-- Reads clean.stock, work.patterns, policy.unit_factors.
with factors as (
    select factor as floor_guard from policy.unit_factors where unit_factor = 'floor_guard'
),
parents as (
    select
        stock_id,
        sum(sheets) as parent_sheets,
        sum(sheets * sheet_length_mm order by pattern_id) as parent_length_mm
    from work.patterns
    where from_offcut_of is null
    group by stock_id
),
needs as (
    select
        stock.*,
        cast(
            coalesce(
                case when stock.form = 'roll'
                    then parents.parent_length_mm / stock.length_mm
                    else parents.parent_sheets
                end,
                0
            ) as double
        ) as needed
    from clean.stock
    left join parents using (stock_id)
),
purchases as (
    select needs.*, greatest(0, needed - on_hand) as to_buy from needs
),
packed as (
    select
        purchases.*,
        cast(ceil(to_buy / pack_quantity - floor_guard) as bigint) as packs
    from purchases
    cross join factors
)
select
    stock_id,
    paper_id,
    form as unit,
    needed,
    on_hand,
    to_buy,
    packs,
    packs * pack_price as cost
from packed
