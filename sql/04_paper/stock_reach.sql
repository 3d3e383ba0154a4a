-- One row per volume and paper: whether a stock of the paper gives a leaf of the volume's least cut size
-- (squaring trim, grain rule and longest cut kept; trade model, sections 6 and 7).
-- Reads clean.volumes, clean.papers, clean.stock, clean.campaign, policy.figures.
with figures as (
    select
        max(value) filter (key = 'size.most_clearance_mm') as most_clearance_mm,
        max(value) filter (key = 'cut.roll_parent_max_length_mm') as roll_parent_max_length_mm
    from policy.figures
),
parents as (
    select
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
),
cuttable as (
    -- where the blade cannot cross the width, it must run along a length it can cut
    select
        paper_id, grain_rule, grain,
        width_mm - 2 * trim_mm as usable_width_mm,
        case
            when width_mm <= guillotine_max_cut_mm then length_mm - 2 * trim_mm
            when form = 'roll' then least(length_mm, guillotine_max_cut_mm) - 2 * trim_mm
            when length_mm <= guillotine_max_cut_mm then length_mm - 2 * trim_mm
            else 0
        end as usable_length_mm
    from parents
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
        cuttable.paper_id,
        bool_or(
            ((cuttable.grain = 'long' or cuttable.grain_rule <> 'require')
                and leaves.width_mm <= usable_width_mm and leaves.height_mm <= usable_length_mm)
            or ((cuttable.grain = 'short' or cuttable.grain_rule <> 'require')
                and leaves.height_mm <= usable_width_mm and leaves.width_mm <= usable_length_mm)
        ) as is_reached
    from leaves
    cross join cuttable
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
