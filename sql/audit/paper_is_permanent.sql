-- rule: Every planned paper is lignin-free, is no glassine and is not more acid than the policy allows.
-- Source: trade model, section 4.
with figures as (
    select value as least_ph
    from published.policy
    where key = 'paper.least_ph'
),
used as (
    select distinct volume_id, paper_id
    from published.interleaves
)
select
    used.volume_id,
    used.paper_id,
    concat_ws(
        '; ',
        used.volume_id || ' gets ' || used.paper_id,
        case when not papers.lignin_free then 'it is not lignin-free' end,
        case when papers.glassine then 'it is glassine' end,
        case when papers.ph < least_ph then printf('its pH %.1f is below %.1f', papers.ph, least_ph) end
    ) as what
from used
join published.papers using (paper_id)
cross join figures
where not papers.lignin_free or papers.glassine or papers.ph < least_ph
