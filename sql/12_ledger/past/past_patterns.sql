-- One row per pattern and size on it: pieces of that size on one parent. Reads published.patterns, pattern_pieces.
select
    run.revision,
    patterns.pattern_id,
    patterns.stock_id,
    cut_sizes.paper_id,
    patterns.sheets,
    patterns.sheet_length_mm,
    patterns.from_offcut_of,
    cut_sizes.width_mm,
    cut_sizes.height_mm,
    cast(count(*) as bigint) as count
from published.patterns
join published.pattern_pieces using (pattern_id)
join published.cut_sizes using (cut_size_id)
cross join published.run
group by all
