-- rule: Each paper's stated cost and areas follow from its patterns and sizes, and its proven bound is no greater.
with units (mm2_per_m2) as (
    values (1000000.0::double)
),
costs as (
    select material_totals.paper_id, sum(material_totals.needed * stock.pack_price / stock.pack_quantity) as cost
    from published.material_totals
    join published.stock using (stock_id)
    group by material_totals.paper_id
),
leaves as (
    select paper_id, sum(greatest(0, sheets + spares - coalesce(ready_leaves_count, 0)) * width_mm * height_mm / mm2_per_m2) as area_m2
    from published.cut_sizes
    cross join units
    where sheets + spares > coalesce(ready_leaves_count, 0)
    group by paper_id
),
parents as (
    select stock.paper_id, sum(patterns.sheets * sheet_width_mm * sheet_length_mm / mm2_per_m2) as area_m2
    from published.patterns
    join published.stock using (stock_id)
    cross join units
    where patterns.from_offcut_of is null
    group by stock.paper_id
)
select
    paper_id,
    printf(
        '%s: cost %.4f (bound %.4f), leaves %.5f, parents %.5f m2 are stated; cost %.4f, %.5f, %.5f m2 follow',
        paper_id, coalesce(paper_bounds.cost_needed, 0), coalesce(paper_bounds.cost_lower_bound, 0),
        coalesce(paper_bounds.area_needed_m2, 0), coalesce(paper_bounds.area_of_parents_m2, 0),
        coalesce(costs.cost, 0), coalesce(leaves.area_m2, 0), coalesce(parents.area_m2, 0)
    ) as what
from published.paper_bounds
full join leaves using (paper_id)
left join costs using (paper_id)
left join parents using (paper_id)
where paper_bounds.paper_id is null
    or paper_bounds.cost_lower_bound > paper_bounds.cost_needed + 1e-6
    or abs(paper_bounds.cost_needed - coalesce(costs.cost, 0)) > 1e-6
    or abs(paper_bounds.area_needed_m2 - coalesce(leaves.area_m2, 0)) > 1e-6
    or abs(paper_bounds.area_of_parents_m2 - coalesce(parents.area_m2, 0)) > 1e-6
    or paper_bounds.area_needed_m2 > paper_bounds.area_of_parents_m2 + 1e-6
