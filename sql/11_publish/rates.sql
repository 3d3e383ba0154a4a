-- One row per task of the trade.
select
    task, minutes, minutes_low, minutes_high, skill
from clean.rates
