-- One row per paper with sheets: what its parents cost and the proven least, stock on hand valued alike.
-- Reads work.cut_bounds, work.material_needs, work.demands, work.patterns, clean.stock.
with factors as (
    select factor as mm2_per_m2 from policy.unit_factors where unit_factor = 'mm2_per_m2'
),
needs as (
    select
        material_needs.paper_id,
        sum(material_needs.needed * stock.pack_price / stock.pack_quantity order by stock_id) as cost_needed
    from work.material_needs
    join clean.stock using (stock_id)
    group by material_needs.paper_id
),
leaves as (
    select
        paper_id,
        sum(greatest(0, sheets + spares - coalesce(ready_leaves_count, 0)) * width_mm * height_mm / mm2_per_m2 order by cut_size_id) as area_needed_m2
    from work.demands
    cross join factors
    group by paper_id
),
parents as (
    select
        stock.paper_id,
        sum(patterns.sheets * patterns.sheet_width_mm * patterns.sheet_length_mm / mm2_per_m2
            order by pattern_id) as area_of_parents_m2
    from work.patterns
    join clean.stock using (stock_id)
    cross join factors
    where patterns.from_offcut_of is null
    group by stock.paper_id
)
select
    cut_bounds.paper_id,
    needs.cost_needed,
    cut_bounds.cost_lower_bound,
    leaves.area_needed_m2,
    parents.area_of_parents_m2
from work.cut_bounds
join needs using (paper_id)
join leaves using (paper_id)
join parents using (paper_id)
