-- One row per group and permitted paper: page losses avoided by one sheet over the horizon, page-equivalents.
-- b = significance x (L(o) - L(o, p)), L(o, p) = 1 - exp(-sum rate x (1 - efficacy) x T / 100)
-- (trade model, section 3). Reads work.permitted, work.hazard_rates, work.losses, clean.*, policy.*.
with horizon as (
    select horizon_years / (select factor from policy.unit_factors where unit_factor = 'years_per_century')
        as horizon_centuries
    from clean.campaign
),
properties as (
    select paper_id, 'any_sheet' as paper_property from clean.papers
    union all select paper_id, surface from clean.papers
    union all select paper_id, 'adsorbent' from clean.papers where adsorbent
    union all select paper_id, buffer from clean.papers
    union all select paper_id, 'pat_pass' from clean.papers where pat = 'pass'
),
efficacies as (
    select properties.paper_id, efficacies.mechanism, max(efficacies.efficacy_frac) as efficacy_frac
    from properties
    join policy.efficacies using (paper_property)
    group by all
),
mechanism_rates as (
    select
        volume_id,
        group_no,
        mechanism,
        sum(loss_rate_per_century order by hazard, side) as loss_rate_per_century
    from work.hazard_rates
    group by all
),
left_over as (
    select
        permitted.volume_id,
        permitted.group_no,
        permitted.paper_id,
        sum(
            mechanism_rates.loss_rate_per_century * (1 - efficacies.efficacy_frac)
            order by mechanism_rates.mechanism
        ) as loss_rate_per_century
    from work.permitted
    join mechanism_rates using (volume_id, group_no)
    join efficacies
        on efficacies.paper_id = permitted.paper_id and efficacies.mechanism = mechanism_rates.mechanism
    where permitted.is_permitted
    group by all
)
select
    left_over.volume_id,
    left_over.group_no,
    left_over.paper_id,
    significances.significance_weight * greatest(
        0, losses.loss_before - (1 - exp(-left_over.loss_rate_per_century * horizon_centuries))
    ) as benefit_per_sheet
from left_over
join work.losses using (volume_id, group_no)
join clean.volumes using (volume_id)
join policy.significances using (significance)
cross join horizon
