-- One row per volume and paper: whether a stock of the paper gives a leaf of the volume's least cut size
-- (squaring trim, grain rule and longest cut kept; trade model, sections 6 and 7).
-- Reads clean.volumes, clean.papers, work.stock_parents, policy.figures.
with figures as (
    select value as most_clearance_mm
    from policy.figures
    where key = 'size.most_clearance_mm'
),
leaves as (
    select distinct
        page_width_mm,
        page_height_mm,
        page_width_mm - most_clearance_mm as width_mm,
        page_height_mm - most_clearance_mm as height_mm
    from clean.volumes
    cross join figures
),
reached as (
    select
        leaves.page_width_mm,
        leaves.page_height_mm,
        parents.paper_id,
        bool_or(
            ((parents.grain = 'long' or parents.grain_rule <> 'require')
                and leaves.width_mm <= usable_width_mm and leaves.height_mm <= cuttable_length_mm)
            or ((parents.grain = 'short' or parents.grain_rule <> 'require')
                and leaves.height_mm <= usable_width_mm and leaves.width_mm <= cuttable_length_mm)
        ) as is_reached
    from leaves
    cross join work.stock_parents as parents
    group by all
)
select
    volumes.volume_id,
    papers.paper_id,
    coalesce(reached.is_reached, false) as is_reached
from clean.volumes
cross join clean.papers
left join reached
    on reached.page_width_mm = volumes.page_width_mm
    and reached.page_height_mm = volumes.page_height_mm
    and reached.paper_id = papers.paper_id
