-- One row per day the whole lab is closed.
select
    day, reason
from clean.closures
