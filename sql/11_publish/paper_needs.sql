-- One row per paper to add or limit to change that would bring benefit. Reads work.paper_needs.
select
    need_no, need_kind, description, added_benefit, helped_volumes_count, added_sheets_count, thickness_um,
    bending_length_mm, basis
from work.paper_needs
