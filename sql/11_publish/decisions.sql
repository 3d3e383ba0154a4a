-- One row per decision of a person, with what the plan made of it. Reads clean.decisions, work.decision_outcomes.
select
    decisions.volume_id,
    decisions.openings,
    decisions.decision,
    decisions.paper_id,
    decisions."by",
    decisions.reason,
    case when decision_outcomes.is_followed then 'followed: ' else 'not followed: ' end || decision_outcomes.outcome
        as outcome
from clean.decisions
join work.decision_outcomes using (row_no)
