-- rule: Every piece measures its cut size, turned only where the paper's grain rule does not require the grain.
-- Grain along the stock's length: a leaf's height lies along the length; grain along the width: along the width.
-- Source: trade model, section 7: grain parallel to the spine.
with placed as (
    select
        pattern_pieces.*,
        cut_sizes.width_mm,
        cut_sizes.height_mm,
        stock.grain,
        papers.grain_rule,
        abs(pattern_pieces.along_width_mm - cut_sizes.width_mm) <= 1e-6
            and abs(pattern_pieces.along_length_mm - cut_sizes.height_mm) <= 1e-6 as has_height_along_length,
        abs(pattern_pieces.along_width_mm - cut_sizes.height_mm) <= 1e-6
            and abs(pattern_pieces.along_length_mm - cut_sizes.width_mm) <= 1e-6 as has_height_along_width
    from published.pattern_pieces
    join published.patterns using (pattern_id)
    join published.stock using (stock_id)
    join published.papers using (paper_id)
    join published.cut_sizes using (cut_size_id)
)
select
    pattern_id,
    piece_no,
    printf(
        'pattern %s piece %d: %.4f x %.4f mm for size %s of %.4f x %.4f mm; grain %s, %s',
        pattern_id, piece_no, along_width_mm, along_length_mm, cut_size_id, width_mm, height_mm, grain, grain_rule
    ) as what
from placed
where not case
    when grain_rule <> 'require' then has_height_along_length or has_height_along_width
    when grain = 'long' then has_height_along_length
    else has_height_along_width
end
