-- One row per group: expected loss of one opening over the horizon without an interleaf, odour included.
-- L = 1 - exp(-rate x T / 100) (survival probability; trade model, section 3).
-- Reads work.hazard_rates, clean.campaign, policy.unit_factors.
with horizon as (
    select horizon_years / (select factor from policy.unit_factors where unit_factor = 'years_per_century')
        as horizon_centuries
    from clean.campaign
)
select
    volume_id,
    group_no,
    1 - exp(-sum(loss_rate_per_century order by hazard, side, mechanism) * any_value(horizon_centuries))
        as loss_before
from work.hazard_rates
cross join horizon
group by volume_id, group_no
