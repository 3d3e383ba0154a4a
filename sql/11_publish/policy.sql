-- One row per policy key: a number in value or a word in text.
select
    key, value, text, unit, basis
from policy.entries
