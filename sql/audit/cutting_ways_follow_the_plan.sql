-- rule: In the comparison of ways of cutting the plan's figures are those of its sizes, patterns and bounds.
with sizes as (
    select paper_id, count(*) as cut_sizes from published.cut_sizes group by paper_id
),
cut as (
    select stock.paper_id, sum(patterns.sheets) as parents_count, count(*) as patterns_count
    from published.patterns
    join published.stock using (stock_id)
    group by stock.paper_id
),
plan as (
    select sizes.*, cut.parents_count, cut.patterns_count, bounds.cost_needed, bounds.cost_lower_bound
    from sizes
    join cut using (paper_id)
    join published.paper_bounds as bounds using (paper_id)
),
stated as (
    select * from published.cutting_ways where way = 'plan'
)
select
    paper_id,
    printf(
        '%s: %d sizes, %d parents, %d patterns at %.4f are stated; %d, %d, %d at %.4f are planned',
        paper_id, coalesce(stated.cut_sizes, 0), coalesce(stated.parents_count, 0),
        coalesce(stated.patterns_count, 0), coalesce(stated.cost_needed, 0), coalesce(plan.cut_sizes, 0),
        coalesce(plan.parents_count, 0)::bigint, coalesce(plan.patterns_count, 0), coalesce(plan.cost_needed, 0)
    ) as what
from stated
full join plan using (paper_id)
where stated.paper_id is null
    or plan.paper_id is null
    or stated.cut_sizes <> plan.cut_sizes
    or stated.parents_count <> plan.parents_count
    or stated.patterns_count <> plan.patterns_count
    or abs(stated.cost_needed - plan.cost_needed) > 1e-6
    or abs(stated.cost_lower_bound - plan.cost_lower_bound) > 1e-6
