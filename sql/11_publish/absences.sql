-- One row per absence; no staff_id means the whole lab.
select
    staff_id, "from", "until", reason
from clean.absences
