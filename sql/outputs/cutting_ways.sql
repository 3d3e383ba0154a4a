-- One row per way of sizing and cutting, over all papers, and what it saves against the usual way, per cent.
-- Reads published.cutting_ways.
with ways as (
    select
        way,
        sum(cut_sizes) as cut_sizes,
        sum(parents_count) as parents_count,
        sum(patterns_count) as patterns_count,
        sum(cost_needed order by paper_id) as cost_needed,
        sum(cost_lower_bound order by paper_id) as cost_lower_bound
    from published.cutting_ways
    group by way
),
usual as (
    select parents_count, patterns_count, cost_needed from ways where way = 'usual'
)
select
    ways.way,
    cast(ways.cut_sizes as bigint) as cut_sizes,
    cast(ways.patterns_count as bigint) as patterns_count,
    cast(ways.parents_count as bigint) as parents_count,
    ways.cost_needed,
    ways.cost_lower_bound,
    100 * (1 - ways.parents_count / cast(usual.parents_count as double)) as parents_saved_pct,
    100 * (1 - ways.patterns_count / cast(usual.patterns_count as double)) as patterns_saved_pct,
    100 * (1 - ways.cost_needed / usual.cost_needed) as cost_saved_pct
from ways
left join usual on true
order by list_position(['usual', 'sizes_apart', 'sizes_in_view', 'plan'], ways.way)
