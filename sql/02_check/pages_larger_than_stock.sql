-- One row per volume whose least leaf (page less the greatest clearance) fits no stock, whichever way it is turned.
-- An error, with the likely slip of a decimal point (a tenth is within half and twice the other pages); a warning for a volume on hold or without hazards, which needs no
-- leaf, unless such a slip is likely. Where a stock line could not be read it might be the one: then only a likely slip
-- is said. Reads work.seen_volumes, work.seen_openings, work.seen_stock, clean.volume_counts, policy.figures. mm.
with figures as (
    select
        max(value) filter (key = 'size.most_clearance_mm') as most_clearance_mm,
        max(value) filter (key = 'cut.roll_parent_max_length_mm') as roll_parent_max_length_mm,
        max(value) filter (key = 'check.least_page_mm') as least_page_mm
    from policy.figures
),
sides as (
    select
        width_mm - 2 * trim_mm as width_mm,
        case when form = 'roll' then least(length_mm, roll_parent_max_length_mm) else length_mm end - 2 * trim_mm
            as length_mm
    from work.seen_stock
    cross join figures
),
usable as (
    select greatest(width_mm, length_mm) as long_mm, least(width_mm, length_mm) as short_mm
    from sides
    where width_mm is not null and length_mm is not null
),
reach as (
    select
        (select max(long_mm) from usable) as longest_mm,
        (select count(*) from sides where width_mm is null or length_mm is null) as unread_count
),
leaves as (
    select
        seen_volumes.*,
        page_width_mm - most_clearance_mm as leaf_width_mm,
        page_height_mm - most_clearance_mm as leaf_height_mm,
        least_page_mm
    from work.seen_volumes
    cross join figures
    where page_width_mm is not null and page_height_mm is not null
),
too_large as (
    select *
    from leaves
    where not exists (
        select 1
        from usable
        where greatest(leaf_width_mm, leaf_height_mm) <= long_mm and least(leaf_width_mm, leaf_height_mm) <= short_mm
    )
),
usual as (
    select median(page_height_mm) as height_mm, median(page_width_mm) as width_mm
    from leaves
    where volume_id not in (select volume_id from too_large)
),
judged as (
    select
        too_large.*,
        reach.unread_count,
        case when leaf_height_mm > longest_mm or leaf_height_mm >= leaf_width_mm then 'page_height' else 'page_width' end
            as field,
        case when field = 'page_height' then page_height_mm else page_width_mm end as page_mm,
        coalesce(case when field = 'page_height' then usual.height_mm else usual.width_mm end, page_mm / 10) as usual_mm,
        page_mm / 10 between greatest(least_page_mm, usual_mm / 2) and least(longest_mm, usual_mm * 2) as is_slip_likely,
        hold is not null
            or not (
                exists (
                    select 1 from work.seen_openings
                    where seen_openings.volume_id = too_large.volume_id and seen_openings.hazards <> ''
                )
                or exists (select 1 from clean.volume_counts where volume_counts.volume_id = too_large.volume_id)
            ) as needs_no_leaf
    from too_large
    cross join reach
    cross join usual
    where reach.longest_mm is not null
)
select
    'page_larger_than_stock' as code,
    case when needs_no_leaf and not is_slip_likely then 'warning' else 'error' end as level,
    sheet,
    row_no,
    field,
    volume_id,
    field || ' ' || format('{:g}', page_mm) || ' mm is '
        || case field when 'page_height' then 'taller' else 'wider' end || ' than any stock' as message,
    case when is_slip_likely then 'check the unit; ' || format('{:.1f}', page_mm / 10) || ' mm?'
        else 'add a stock that is large enough, or check the figure' end as action
from judged
where unread_count = 0 or is_slip_likely
