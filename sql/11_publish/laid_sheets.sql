-- One row per volume, group of the revision that planned it, and paper of which leaves lie in the volume.
select volume_id, revision, group_no, paper_id, openings, laid_sheets_count, thickness_um, benefit
from work.laid_sheets
