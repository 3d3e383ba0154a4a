-- One row per pattern cut from off-cuts and cut size on it. Reads published.offcut_uses, papers.
select
    uses.paper_id,
    papers.description,
    uses.from_offcut_of,
    uses.pattern_id,
    uses.offcuts_count,
    uses.along_width_mm,
    uses.along_length_mm,
    uses.cut_size_id,
    uses.pieces_count
from published.offcut_uses as uses
join published.papers as papers using (paper_id)
order by uses.paper_id, uses.pattern_id, uses.cut_size_id
