-- One row per collection, the whole campaign last (blank collection): the plan's figures side by side.
-- Reads published.campaign_totals, basis planned. total_cost: paper, enclosures and labour together.
-- avoided_pct: losses avoided of those the best permitted sheets could avoid; none where nothing could be avoided.
with planned as (
    select nullif(collection, '') as collection, measure, value
    from published.campaign_totals
    where basis = 'planned'
),
side_by_side as (
    select
        collection,
        max(value) filter (where measure = 'volumes') as volumes,
        max(value) filter (where measure = 'volumes_covered') as volumes_covered,
        max(value) filter (where measure = 'volumes_prioritised') as volumes_prioritised,
        max(value) filter (where measure = 'volumes_no_headroom') as volumes_no_headroom,
        max(value) filter (where measure = 'volumes_treat_first') as volumes_treat_first,
        max(value) filter (where measure = 'volumes_no_paper') as volumes_no_paper,
        max(value) filter (where measure = 'volumes_on_hold') as volumes_on_hold,
        max(value) filter (where measure = 'volumes_deferred') as volumes_deferred,
        max(value) filter (where measure = 'volumes_nothing_needed') as volumes_nothing_needed,
        max(value) filter (where measure = 'openings_at_risk') as openings_at_risk,
        max(value) filter (where measure = 'openings_protected') as openings_protected,
        max(value) filter (where measure = 'benefit_possible') as benefit_possible,
        max(value) filter (where measure = 'benefit_planned') as benefit_planned,
        max(value) filter (where measure = 'sheets') as sheets,
        max(value) filter (where measure = 'paper_area_m2') as paper_area_m2,
        max(value) filter (where measure = 'paper_cost') as paper_cost,
        max(value) filter (where measure = 'enclosures') as enclosures,
        max(value) filter (where measure = 'enclosure_cost') as enclosure_cost,
        max(value) filter (where measure = 'labour_hours') as labour_hours,
        max(value) filter (where measure = 'labour_cost') as labour_cost,
        max(value) filter (where measure = 'shelf_mm_added') as shelf_mm_added
    from planned
    group by collection
)
select
    side_by_side.*,
    cast(100 * benefit_planned / nullif(benefit_possible, 0) as double) as avoided_pct,
    cast(paper_cost + enclosure_cost + labour_cost as double) as total_cost
from side_by_side
order by collection nulls last
