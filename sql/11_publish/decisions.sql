-- One row per decision of a person, with what the plan made of it. Reads clean.decisions.
select
    volume_id,
    openings,
    decision,
    paper_id,
    "by",
    reason,
    'not yet taken up by the choice of sheets' as outcome
from clean.decisions
