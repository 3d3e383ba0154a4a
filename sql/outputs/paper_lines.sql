-- One row per paper with sheets: leaves, spares, area, waste, cost, and how near both counts come to their bounds.
-- What off-cuts spare stands apart: the least value is that of fresh parents alone.
-- Reads published.cut_sizes, cut_size_volumes, cut_size_bounds, paper_bounds, papers, offcut_savings.
with leaves as (
    select paper_id, sum(sheets) as sheets, sum(spares) as spares
    from published.cut_sizes
    group by paper_id
),
served as (
    select cut_sizes.paper_id, count(distinct served.volume_id) as volumes
    from published.cut_size_volumes as served
    join published.cut_sizes as cut_sizes using (cut_size_id)
    group by cut_sizes.paper_id
),
spared as (
    select paper_id, sum(spared_cost order by stock_id) as spared_cost
    from published.offcut_savings
    group by paper_id
)
select
    leaves.paper_id,
    papers.description,
    papers.buffer,
    papers.grammage_gsm,
    cast(served.volumes as bigint) as volumes,
    cast(leaves.sheets as bigint) as sheets,
    cast(leaves.spares as bigint) as spares,
    sizes.cut_sizes,
    sizes.lower_bound as cut_sizes_bound,
    bounds.area_needed_m2,
    bounds.area_of_parents_m2,
    cast(bounds.area_of_parents_m2 - bounds.area_needed_m2 as double) as area_wasted_m2,
    bounds.cost_needed,
    bounds.cost_lower_bound,
    coalesce(spared.spared_cost, 0) as spared_cost
from leaves
join published.papers as papers using (paper_id)
left join served using (paper_id)
left join published.cut_size_bounds as sizes using (paper_id)
left join published.paper_bounds as bounds using (paper_id)
left join spared using (paper_id)
order by leaves.paper_id
