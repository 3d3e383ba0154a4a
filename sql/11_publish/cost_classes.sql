-- One row per class of a grant's budget, in the order of form SF-424A: what the campaign costs in it, whole hundredths
-- of the currency, so that the table adds up as it is printed. Labour is personnel (fringe benefits are part of the
-- hourly rates), paper packs and enclosures are supplies, the contingency is other, the indirect rate is on all direct
-- cost. Budgets where the campaign sets them. Reads published.campaign_totals, clean.campaign, policy.unit_factors.
with classes (class_no, cost_class, includes) as (
    values
        (1, 'personnel', 'hours of all dated work at the hourly rates'),
        (2, 'fringe', 'part of the hourly rates'),
        (3, 'travel', 'none planned'),
        (4, 'equipment', 'none planned'),
        (5, 'supplies', 'paper in whole packs, enclosures'),
        (6, 'contractual', 'none planned'),
        (7, 'construction', 'none planned'),
        (8, 'other', 'contingency of '),
        (9, 'total_direct', 'classes 1 to 8'),
        (10, 'indirect', 'indirect cost at '),
        (11, 'total', 'direct and indirect')
),
parts as (
    select max(factor) as money_parts
    from policy.unit_factors
    where unit_factor = 'money_parts'
),
found as (
    select
        coalesce(max(value) filter (measure = 'labour_cost'), 0) as labour_cost,
        coalesce(max(value) filter (measure = 'paper_cost'), 0)
            + coalesce(max(value) filter (measure = 'enclosure_cost'), 0) as supplies_cost
    from published.campaign_totals
    where collection is null and basis = 'planned'
),
direct as (
    select
        floor(labour_cost * money_parts + 0.5) / money_parts as personnel,
        floor(supplies_cost * money_parts + 0.5) / money_parts as supplies,
        floor((labour_cost + supplies_cost) * campaign.contingency_pct / 100 * money_parts + 0.5) / money_parts as other,
        money_parts,
        campaign.contingency_pct,
        campaign.indirect_pct,
        campaign.staff_budget,
        campaign.supplies_budget
    from found
    cross join parts
    cross join clean.campaign
),
totals as (
    select
        *,
        floor((personnel + supplies + other) * money_parts + 0.5) / money_parts as total_direct
    from direct
),
indirect as (
    select *, floor(total_direct * indirect_pct / 100 * money_parts + 0.5) / money_parts as indirect
    from totals
)
select
    cast(classes.class_no as bigint) as class_no,
    classes.cost_class,
    cast(case classes.cost_class
        when 'personnel' then personnel
        when 'supplies' then supplies
        when 'other' then other
        when 'total_direct' then total_direct
        when 'indirect' then indirect
        when 'total' then floor((total_direct + indirect) * money_parts + 0.5) / money_parts
        else 0
    end as double) as cost,
    cast(case classes.cost_class
        when 'personnel' then staff_budget
        when 'supplies' then supplies_budget
    end as double) as budget,
    classes.includes || case classes.cost_class
        when 'other' then printf('%g per cent of personnel and supplies', contingency_pct)
        when 'indirect' then printf('%g per cent of all direct cost', indirect_pct)
        else ''
    end as includes
from classes
cross join indirect
