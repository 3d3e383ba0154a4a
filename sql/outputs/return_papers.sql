-- One row per volume and paper that lies in it: the paper's number among the volume's, and its sheets.
-- Reads published.interleaves.
select
    volume_id,
    cast(row_number() over (partition by volume_id order by paper_id) as bigint) as paper_no,
    paper_id,
    cast(sum(sheets) as bigint) as sheets
from published.interleaves
group by volume_id, paper_id
order by volume_id, paper_no
