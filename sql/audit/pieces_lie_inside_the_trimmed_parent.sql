-- rule: Every piece and every off-cut lies inside its parent sheet less the squaring trim on each side.
-- An off-cut used as a parent has been squared already.
with parents as (
    select
        patterns.pattern_id,
        patterns.sheet_width_mm
            - case when patterns.from_offcut_of is null then 2 * stock.trim_mm else 0 end as usable_width_mm,
        patterns.sheet_length_mm
            - case when patterns.from_offcut_of is null then 2 * stock.trim_mm else 0 end as usable_length_mm
    from published.patterns
    join published.stock using (stock_id)
),
parts as (
    select pattern_id, 'piece ' || piece_no as part, x_mm, y_mm, along_width_mm, along_length_mm
    from published.pattern_pieces
    union all
    select pattern_id, 'off-cut' as part, x_mm, y_mm, along_width_mm, along_length_mm
    from published.offcuts
)
select
    parts.pattern_id,
    parts.part,
    printf(
        'pattern %s %s: %.2f..%.2f x %.2f..%.2f mm on %.2f x %.2f mm usable',
        parts.pattern_id, parts.part, parts.x_mm, parts.x_mm + parts.along_width_mm, parts.y_mm,
        parts.y_mm + parts.along_length_mm, parents.usable_width_mm, parents.usable_length_mm
    ) as what
from parts
join parents using (pattern_id)
where parts.x_mm < -1e-6
    or parts.y_mm < -1e-6
    or parts.along_width_mm <= 0
    or parts.along_length_mm <= 0
    or parts.x_mm + parts.along_width_mm > parents.usable_width_mm + 1e-6
    or parts.y_mm + parts.along_length_mm > parents.usable_length_mm + 1e-6
