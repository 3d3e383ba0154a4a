-- One row per piece of a pattern, from the trimmed corner.
select
    pattern_id, piece_no, cut_size_id, x_mm, y_mm, along_width_mm, along_length_mm
from work.pattern_pieces
