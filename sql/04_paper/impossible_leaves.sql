-- One row per paper and cause for which volumes get no sheet: the paper suits openings that no paper is permitted in, but
-- none of its stocks gives their leaf. Says the cause, the volumes, the least sheet that would do and the nearest stock
-- of the list that is large enough. Volumes on hold are left out. Rolls count by the length handled at the bench.
-- Reads work.permitted, work.stock_parents, clean.volumes, clean.stock, clean.campaign, policy.figures.
with figures as (
    select
        max(value) filter (key = 'size.most_clearance_mm') as most_clearance_mm,
        max(value) filter (key = 'cut.trim_mm') as usual_trim_mm
    from policy.figures
),
lacking as (
    -- papers that lack nothing but a stock, where no other paper is permitted
    select distinct permitted.volume_id, permitted.paper_id
    from work.permitted
    where starts_with(permitted.missing, 'no stock of it gives a leaf')
        and not exists (
            select 1
            from work.permitted as other
            where other.volume_id = permitted.volume_id
                and other.group_no = permitted.group_no
                and other.is_permitted
        )
),
leaves as (
    select
        lacking.paper_id,
        lacking.volume_id,
        volumes.page_width_mm - most_clearance_mm as width_mm,
        volumes.page_height_mm - most_clearance_mm as height_mm
    from lacking
    join clean.volumes using (volume_id)
    cross join figures
    where volumes.hold is null
),
tried as (
    -- would it fit with the pieces turned, or with a longer blade?
    select
        leaves.volume_id,
        leaves.paper_id,
        leaves.width_mm,
        leaves.height_mm,
        coalesce(bool_or(
            (width_mm <= usable_width_mm and height_mm <= cuttable_length_mm)
            or (height_mm <= usable_width_mm and width_mm <= cuttable_length_mm)
        ), false) as fits_turned,
        coalesce(bool_or(
            (parents.grain = 'long' or parents.grain_rule <> 'require')
                and width_mm <= usable_width_mm and height_mm <= usable_length_mm
            or (parents.grain = 'short' or parents.grain_rule <> 'require')
                and height_mm <= usable_width_mm and width_mm <= usable_length_mm
        ), false) as fits_longer_blade
    from leaves
    left join work.stock_parents as parents using (paper_id)
    group by all
),
causes as (
    select
        paper_id,
        case
            when fits_longer_blade then 'longest cut'
            when fits_turned then 'grain'
            else 'size'
        end as cause,
        count(*) as volumes,
        string_agg(volume_id, ', ' order by volume_id) as volume_list,
        any_value(volume_id) as one_volume_id,
        max(width_mm) as width_mm,
        max(height_mm) as height_mm
    from tried
    group by all
),
near as (
    -- the smallest stock of any paper that gives the greatest of the leaves, grain along the spine
    select
        causes.paper_id,
        causes.cause,
        arg_min(stock.stock_id, (stock.width_mm * stock.length_mm, stock.stock_id)) as stock_id
    from causes
    join work.stock_parents as parents
        on (parents.grain = 'long' and causes.width_mm <= usable_width_mm and causes.height_mm <= cuttable_length_mm)
        or (parents.grain = 'short' and causes.height_mm <= usable_width_mm and causes.width_mm <= cuttable_length_mm)
    join clean.stock on stock.stock_id = parents.stock_id
    group by all
)
select
    'leaf_fits_no_stock' as code,
    'warning' as level,
    'Stock' as sheet,
    case when causes.volumes = 1 then causes.one_volume_id else '' end as volume_id,
    printf('no stock of paper %s gives the leaf of %s: ', causes.paper_id, causes.volume_list)
        || case causes.cause
            when 'longest cut' then printf(
                'its first cut is longer than the guillotine''s %.0f mm', campaign.guillotine_max_cut_mm
            )
            when 'grain' then 'it fits only with the grain across the spine'
            else 'it is larger than the usable parent'
        end as message,
    printf(
        'add a sheet of at least %.1f x %.1f mm, grain long, to the paper''s stock',
        causes.width_mm + 2 * usual_trim_mm, causes.height_mm + 2 * usual_trim_mm
    )
        || case when near.stock_id is not null
            then printf(
                '; the nearest listed is %s, %.0f x %.0f mm, of paper %s',
                near.stock_id, stock.width_mm, stock.length_mm, stock.paper_id
            )
            else '; none listed of any paper is large enough'
        end
        || case causes.cause
            when 'longest cut' then ', no wider than the longest cut'
            when 'grain' then '; or relax the paper''s grain rule'
            else ''
        end as action
from causes
cross join clean.campaign
cross join figures
left join near using (paper_id, cause)
left join clean.stock using (stock_id)
