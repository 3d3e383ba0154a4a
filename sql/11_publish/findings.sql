-- One row per finding. Reads clean.findings.
select
    code,
    level,
    sheet,
    nullif(cell, '') as cell,
    nullif(volume_id, '') as volume_id,
    message,
    action
from clean.findings
