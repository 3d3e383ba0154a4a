-- rule: A decision `must` that is not fulfilled says so, and every decision that is not followed is a finding.
with decisions as (
    select
        *,
        row_number() over (order by volume_id, openings, decision, paper_id, reason) as decision_no
    from published.decisions
),
decided_parts as (
    select decision_no, volume_id, unnest(string_split(openings, ',')) as part
    from decisions
    where coalesce(openings, '') <> ''
),
decided as (
    select
        decision_no,
        volume_id,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint), cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from decided_parts
),
group_parts as (
    select volume_id, group_no, unnest(string_split(openings, ',')) as part
    from published.opening_groups
    where coalesce(openings, '') <> ''
),
group_openings as (
    select
        volume_id,
        group_no,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint), cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from group_parts
),
bound as (
    select decision_no, decided.volume_id, group_no
    from decided
    join group_openings using (volume_id, opening_no)
    union
    select decision_no, decisions.volume_id, group_no
    from decisions
    join published.opening_groups using (volume_id)
    where coalesce(decisions.openings, '') = ''
),
group_sheets as (
    select volume_id, group_no, sum(sheets) as sheets
    from published.interleaves
    group by volume_id, group_no
),
sums as (
    select
        bound.decision_no,
        sum(opening_groups.count) as openings_bound,
        sum(coalesce(group_sheets.sheets, 0)) as sheets
    from bound
    join published.opening_groups using (volume_id, group_no)
    left join group_sheets using (volume_id, group_no)
    group by bound.decision_no
),
unlisted as (
    select decision_no, count(*) as openings_unlisted
    from decided
    anti join group_openings using (volume_id, opening_no)
    group by decision_no
),
found as (
    select distinct volume_id
    from published.findings
    where code = 'decision_not_followed'
),
judged as (
    select
        decisions.*,
        coalesce(openings_bound, 0) as openings_bound,
        coalesce(sheets, 0) as sheets,
        coalesce(openings_unlisted, 0) as openings_unlisted,
        outcome like 'not followed%' as is_told,
        found.volume_id is not null as is_found
    from decisions
    left join sums using (decision_no)
    left join unlisted using (decision_no)
    left join found on found.volume_id = decisions.volume_id
)
select
    volume_id,
    printf(
        '%s: %s%s, %d sheets in %d openings, %d without a hazard; %s%s',
        volume_id, decision, coalesce(' in openings ' || openings, ''), sheets, openings_bound, openings_unlisted,
        outcome, case when is_told and not is_found then '; no finding' else '' end
    ) as what
from judged
where (
        decision = 'must'
        and not is_told
        and (sheets < openings_bound or openings_bound = 0 or openings_unlisted > 0)
    )
    or (is_told and not is_found)
