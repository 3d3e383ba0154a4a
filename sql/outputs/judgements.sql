-- One row per policy figure: value, unit, and whether it is judgement, common practice or from a source.
-- Reads published.policy.
select
    key,
    coalesce(text, format('{:.10g}', value)) as shown,
    unit,
    basis,
    starts_with(lower(basis), 'judgement') as is_judgement
from published.policy
order by is_judgement desc, key
