-- rule: Every pattern comes apart by cuts from edge to edge: into strips, then each strip across, one piece a cell.
-- A first cut across the width parts the sheet along its length. Strips: the pieces' extents along that direction,
-- joined where they overlap. In a strip the pieces must lie clear of each other in the other direction.
-- Source: trade model, section 7.
with turned as (
    select
        pattern_pieces.pattern_id,
        pattern_pieces.piece_no,
        case patterns.first_cut when 'across_width' then y_mm else x_mm end as strip_from_mm,
        case patterns.first_cut when 'across_width' then y_mm + along_length_mm else x_mm + along_width_mm end
            as strip_to_mm,
        case patterns.first_cut when 'across_width' then x_mm else y_mm end as cell_from_mm,
        case patterns.first_cut when 'across_width' then x_mm + along_width_mm else y_mm + along_length_mm end
            as cell_to_mm
    from published.pattern_pieces
    join published.patterns using (pattern_id)
),
reached as (
    select
        *,
        max(strip_to_mm) over (
            partition by pattern_id order by strip_from_mm, piece_no
            rows between unbounded preceding and 1 preceding
        ) as reached_mm
    from turned
),
strips as (
    select
        *,
        sum(case when reached_mm is null or strip_from_mm >= reached_mm - 1e-6 then 1 else 0 end) over (
            partition by pattern_id order by strip_from_mm, piece_no
        ) as strip_no
    from reached
)
select
    one.pattern_id,
    one.piece_no,
    other.piece_no as other_piece_no,
    printf(
        'pattern %s: pieces %d and %d cannot be parted by two stages of cuts from edge to edge',
        one.pattern_id, one.piece_no, other.piece_no
    ) as what
from strips as one
join strips as other
    on other.pattern_id = one.pattern_id
    and other.strip_no = one.strip_no
    and other.piece_no > one.piece_no
    and one.cell_from_mm < other.cell_to_mm - 1e-6
    and other.cell_from_mm < one.cell_to_mm - 1e-6
