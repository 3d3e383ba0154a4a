-- One row per group and paper that gets sheets.
select
    volume_id, group_no, paper_id, openings, sheets, benefit, thickness_um, reason
from work.interleaves
