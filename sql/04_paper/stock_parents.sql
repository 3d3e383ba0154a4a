-- One row per stock line: what is left of a parent after its squaring trim, and of the part the guillotine can cut.
-- First cuts run along a side no longer than the guillotine's longest cut: where the blade cannot cross the width, it
-- must run along a length it can cut (0: it can do neither). Trade model, section 7.
-- Reads clean.stock, clean.papers, clean.campaign, policy.figures.
with figures as (
    select value as roll_parent_max_length_mm
    from policy.figures
    where key = 'cut.roll_parent_max_length_mm'
),
parents as (
    select
        stock.stock_id,
        stock.paper_id,
        papers.grain_rule,
        stock.form,
        stock.grain,
        stock.trim_mm,
        stock.width_mm,
        case when stock.form = 'roll'
            then least(stock.length_mm, roll_parent_max_length_mm)
            else stock.length_mm
        end as length_mm,
        campaign.guillotine_max_cut_mm
    from clean.stock
    join clean.papers using (paper_id)
    cross join figures
    cross join clean.campaign
)
select
    stock_id,
    paper_id,
    grain_rule,
    grain,
    width_mm - 2 * trim_mm as usable_width_mm,
    length_mm - 2 * trim_mm as usable_length_mm,
    case
        when width_mm <= guillotine_max_cut_mm then length_mm - 2 * trim_mm
        when form = 'roll' then least(length_mm, guillotine_max_cut_mm) - 2 * trim_mm
        when length_mm <= guillotine_max_cut_mm then length_mm - 2 * trim_mm
        else 0
    end as cuttable_length_mm
from parents
