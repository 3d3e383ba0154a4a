-- rule: The pieces and off-cuts of a parent sheet do not overlap.
with parts as (
    select pattern_id, 'piece ' || piece_no as part, x_mm, y_mm, along_width_mm, along_length_mm
    from published.pattern_pieces
    union all
    select
        pattern_id,
        'off-cut ' || row_number() over (partition by pattern_id order by x_mm, y_mm) as part,
        x_mm, y_mm, along_width_mm, along_length_mm
    from published.offcuts
)
select
    one.pattern_id,
    one.part as part,
    other.part as other_part,
    printf('pattern %s: %s and %s overlap', one.pattern_id, one.part, other.part) as what
from parts as one
join parts as other
    on other.pattern_id = one.pattern_id
    and other.part > one.part
    and one.x_mm < other.x_mm + other.along_width_mm - 1e-6
    and other.x_mm < one.x_mm + one.along_width_mm - 1e-6
    and one.y_mm < other.y_mm + other.along_length_mm - 1e-6
    and other.y_mm < one.y_mm + one.along_length_mm - 1e-6
