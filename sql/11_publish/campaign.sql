-- One row per campaign setting, as text.
select
    setting, value
from clean.campaign_settings
