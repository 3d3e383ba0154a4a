-- One row per paper with sheets: cut sizes and their proven least number.
select
    paper_id, cut_sizes, lower_bound
from work.cut_size_bounds
