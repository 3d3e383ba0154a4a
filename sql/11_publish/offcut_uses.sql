-- One row per pattern cut from off-cuts and cut size on it: which off-cuts, of which pattern, and what they give.
-- Reads work.patterns, work.pattern_pieces, clean.stock. Sides along the stock's width and length, mm.
select
    patterns.pattern_id,
    pattern_pieces.cut_size_id,
    patterns.from_offcut_of,
    stock.paper_id,
    patterns.stock_id,
    patterns.sheets as offcuts_count,
    patterns.sheet_width_mm as along_width_mm,
    patterns.sheet_length_mm as along_length_mm,
    cast(count(*) * any_value(patterns.sheets) as bigint) as pieces_count
from work.patterns
join work.pattern_pieces using (pattern_id)
join clean.stock using (stock_id)
where patterns.from_offcut_of is not null
group by all
