-- rule: No sheet lies where a person said never, and where a person named the paper no other paper lies.
-- A decision without openings is about the whole volume; one that names openings comes before it.
with decided_parts as (
    select volume_id, decision, paper_id, unnest(string_split(openings, ',')) as part
    from published.decisions
    where openings is not null and openings <> ''
),
decided as (
    select
        volume_id,
        decision,
        paper_id,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint), cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from decided_parts
),
sheet_parts as (
    select volume_id, group_no, paper_id, unnest(string_split(openings, ',')) as part
    from published.interleaves
    where openings is not null and openings <> ''
),
sheets as (
    select
        volume_id,
        group_no,
        paper_id,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint), cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from sheet_parts
    union all
    select volume_id, group_no, paper_id, null as opening_no
    from published.interleaves
    where openings is null or openings = ''
),
bound as (
    select
        sheets.*,
        coalesce(named.decision, whole.decision) as decision,
        case when named.decision is null then whole.paper_id else named.paper_id end as decided_paper_id
    from sheets
    left join decided as named
        on named.volume_id = sheets.volume_id and named.opening_no = sheets.opening_no
    left join published.decisions as whole
        on whole.volume_id = sheets.volume_id and coalesce(whole.openings, '') = ''
)
select
    volume_id,
    group_no,
    paper_id,
    printf(
        '%s group %d gets %s%s; a person said %s',
        volume_id, group_no, paper_id, coalesce(' in opening ' || opening_no, ''),
        case decision when 'paper' then 'paper ' || decided_paper_id else decision end
    ) as what
from bound
where decision = 'never' or (decision = 'paper' and decided_paper_id <> paper_id)
