-- rule: In every measure the collections add up to the whole campaign.
with sums as (
    select
        measure,
        sum(value) filter (collection is not null) as parts,
        sum(value) filter (collection is null) as whole
    from published.campaign_totals
    where basis = 'planned' and value is not null
    group by measure
)
select
    measure,
    printf(
        '%s: the collections make %.6f, the campaign is %.6f', measure, coalesce(parts, 0), coalesce(whole, 0)
    ) as what
from sums
where abs(coalesce(parts, 0) - coalesce(whole, 0)) > 1e-6 * greatest(1, abs(coalesce(whole, 0)))
