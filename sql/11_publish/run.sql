-- One row: which plan this is. Reads raw.run, clean.campaign.
select
    run.revision,
    run.as_of,
    run.guardleaf_version,
    run.inventory_sha256,
    run.policy_sha256,
    run.planned_at,
    campaign.length_unit,
    campaign.currency,
    campaign.start_date,
    campaign.end_date
from raw.run
cross join clean.campaign
