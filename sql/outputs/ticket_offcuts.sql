-- One row per useful off-cut of a pattern; `kept_count` of those alike, from all parents, are cut later by the tickets
-- of `kept_for` (blank: none is). Reads published.offcuts, patterns. Sides along the stock's width and length, mm.
with kept as (
    select
        from_offcut_of as pattern_id,
        sheet_width_mm as along_width_mm,
        sheet_length_mm as along_length_mm,
        sum(sheets) as kept_count,
        string_agg(pattern_id, ', ' order by pattern_id) as kept_for
    from published.patterns
    where from_offcut_of is not null
    group by all
)
select
    offcuts.pattern_id,
    offcuts.x_mm,
    offcuts.y_mm,
    offcuts.along_width_mm,
    offcuts.along_length_mm,
    cast(coalesce(kept.kept_count, 0) as bigint) as kept_count,
    coalesce(kept.kept_for, '') as kept_for
from published.offcuts as offcuts
left join kept
    on kept.pattern_id = offcuts.pattern_id
    and abs(kept.along_width_mm - offcuts.along_width_mm) <= 1e-6
    and abs(kept.along_length_mm - offcuts.along_length_mm) <= 1e-6
order by offcuts.pattern_id, offcuts.x_mm, offcuts.y_mm
