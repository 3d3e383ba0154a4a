-- One row per way of sizing and cutting and paper; the plan's own rows are counted here from what it publishes.
-- Reads work.cutting_ways, work.cut_size_bounds, work.patterns, published.stock, published.paper_bounds.
with planned as (
    select
        stock.paper_id,
        cast(sum(patterns.sheets) as bigint) as parents_count,
        count(*) as patterns_count
    from work.patterns as patterns
    join published.stock as stock using (stock_id)
    group by stock.paper_id
)
select way, paper_id, cut_sizes, parents_count, patterns_count, cost_needed, cost_lower_bound
from work.cutting_ways
union all by name
select
    'plan' as way,
    bounds.paper_id,
    sizes.cut_sizes,
    planned.parents_count,
    planned.patterns_count,
    bounds.cost_needed,
    bounds.cost_lower_bound
from published.paper_bounds as bounds
join work.cut_size_bounds as sizes using (paper_id)
join planned using (paper_id)
