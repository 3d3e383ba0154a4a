-- rule: No paper is too limp for its page: its bending length reaches the policy's share of the page width.
-- A greater share is asked for beside fasteners and raised attachments and among brittle leaves.
-- Source: trade model, section 4.
with figures as (
    select
        max(value) filter (key = 'paper.bending_per_width_frac') as plain_frac,
        max(value) filter (key = 'paper.bending_per_width_careful_frac') as careful_frac
    from published.policy
),
hazard_words as (
    select
        volume_id,
        group_no,
        regexp_replace(unnest(string_split(hazards, ', ')), '^(left|right):', '') as hazard
    from published.opening_groups
),
hard_groups as (
    select distinct volume_id, group_no
    from hazard_words
    where hazard in ('fastener', 'raised_attachment')
),
asked as (
    select
        interleaves.volume_id,
        interleaves.group_no,
        interleaves.paper_id,
        papers.bending_length_mm,
        volumes.page_width_mm * case
            when hard_groups.volume_id is not null or volumes.leaf_condition = 'brittle' then careful_frac
            else plain_frac
        end as least_bending_length_mm
    from published.interleaves
    join published.volumes using (volume_id)
    join published.papers using (paper_id)
    left join hard_groups using (volume_id, group_no)
    cross join figures
)
select
    volume_id,
    group_no,
    paper_id,
    printf(
        '%s group %d gets %s: bending length %.2f mm, the page asks for %.2f mm',
        volume_id, group_no, paper_id, bending_length_mm, least_bending_length_mm
    ) as what
from asked
where bending_length_mm < least_bending_length_mm - 1e-6
