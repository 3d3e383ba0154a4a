-- One row per figure learned from returns, with its interval.
select
    subject, subject_id, skill, volume_class, unit, tasks_count, starting_value, learned_value, low_value, high_value,
    is_used, method
from work.learned_rates
