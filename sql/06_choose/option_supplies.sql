-- One row per option and supply it uses: estimated cost of its paper, price of its enclosure.
-- Paper: (sheets + spares) x leaf area at the ideal clearance / expected yield x least price of a square metre;
-- the finished cut plan corrects it (trade model, sections 7 and 8).
-- Reads work.option_sheets, work.option_enclosures, work.paper_properties, clean.volumes, clean.campaign,
-- policy.figures, policy.unit_factors.
with figures as (
    select
        max(value) filter (key = 'choose.expected_yield_frac') as yield_frac,
        max(value) filter (key = 'size.ideal_clearance_mm') as clearance_mm
    from policy.figures
),
factors as (
    select max(factor) filter (unit_factor = 'mm2_per_m2') as mm2_per_m2
    from policy.unit_factors
),
leaves as (
    select
        volumes.volume_id,
        (volumes.page_width_mm - clearance_mm) * (volumes.page_height_mm - clearance_mm) / mm2_per_m2 as leaf_m2,
        (1 + campaign.spares_pct / 100) / yield_frac as parents_per_leaf
    from clean.volumes
    cross join clean.campaign
    cross join figures
    cross join factors
),
option_papers as (
    select volume_id, option_no, paper_id, sum(sheets) as sheets
    from work.option_sheets
    group by volume_id, option_no, paper_id
)
select
    option_papers.volume_id,
    option_papers.option_no,
    'paper' as supply,
    option_papers.paper_id as supply_id,
    option_papers.sheets * leaf_m2 * parents_per_leaf * paper_properties.price_per_m2 as cost
from option_papers
join leaves using (volume_id)
join work.paper_properties using (paper_id)
union all
select
    volume_id,
    option_no,
    'enclosure' as supply,
    coalesce(enclosure_id, '') as supply_id,
    price as cost
from work.option_enclosures
