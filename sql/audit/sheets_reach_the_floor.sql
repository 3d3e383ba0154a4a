-- rule: Every planned sheet brings at least the policy's least benefit, unless a person said it must lie there.
-- Source: trade model, section 5: too much interleaving is a fault too.
with must_parts as (
    select volume_id, unnest(string_split(openings, ',')) as part
    from published.decisions
    where decision = 'must' and openings is not null and openings <> ''
),
must_openings as (
    select
        volume_id,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint), cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from must_parts
),
must_groups as (
    -- groups that hold an opening a person named, or all groups where the person named the volume
    select interleaves.volume_id, interleaves.group_no
    from published.interleaves
    join published.decisions
        on decisions.volume_id = interleaves.volume_id
        and decisions.decision = 'must'
        and coalesce(decisions.openings, '') = ''
    union
    select interleaves.volume_id, interleaves.group_no
    from published.interleaves
    join must_openings
        on must_openings.volume_id = interleaves.volume_id
        and must_openings.opening_no = cast(regexp_extract(interleaves.openings, '^\d+') as bigint)
),
figures as (
    select value as floor_benefit
    from published.policy
    where key = 'fit.benefit_floor_benefit'
)
select
    interleaves.volume_id,
    interleaves.group_no,
    interleaves.paper_id,
    printf(
        '%s group %d, %s: %.6f page-equivalents for %d sheets, the floor is %.6f a sheet',
        interleaves.volume_id, interleaves.group_no, interleaves.paper_id, interleaves.benefit, interleaves.sheets,
        floor_benefit
    ) as what
from published.interleaves
anti join must_groups using (volume_id, group_no)
cross join figures
where interleaves.sheets < 1 or interleaves.benefit < interleaves.sheets * (floor_benefit - 1e-9)
