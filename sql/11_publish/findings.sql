-- One row per finding: those of the inventory, then decisions that the plan could not follow.
-- Reads clean.findings, work.return_findings, work.decision_outcomes.
select
    code,
    level,
    sheet,
    nullif(cell, '') as cell,
    nullif(volume_id, '') as volume_id,
    message,
    action
from clean.findings
union all by name
select code, level, sheet, nullif(cell, '') as cell, nullif(volume_id, '') as volume_id, message, action
from work.return_findings
union all by name
select
    'decision_not_followed' as code,
    'warning' as level,
    sheet,
    cell,
    volume_id,
    'the decision could not be followed: ' || outcome as message,
    action
from work.decision_outcomes
where not is_followed
