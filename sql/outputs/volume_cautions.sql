-- One row per volume and caution that applies to it: the hold, pins, specimens, weight, brittle leaves.
-- Reads published.volumes, opening_groups, policy (what counts as a two-person lift).
with lift as (
    select
        max(value) filter (where key = 'bench.two_person_lift_height_mm') as height_mm,
        max(value) filter (where key = 'bench.two_person_lift_width_mm') as width_mm,
        max(value) filter (where key = 'bench.two_person_lift_thickness_mm') as thickness_mm
    from published.policy
),
words as (
    select volume_id, concat_ws(',', hazards, left_content, right_content) as found from published.opening_groups
    union all
    select volume_id, contents from published.volumes where contents is not null
),
held as (
    select volume_id, 1 as caution_order, concat('hold_', hold) as caution
    from published.volumes
    where hold is not null
),
pins as (
    select distinct volume_id, 2 as caution_order, 'fastener' as caution
    from words
    where regexp_matches(found, '\bfastener\b')
),
specimens as (
    select distinct volume_id, 3 as caution_order, 'specimen' as caution
    from words
    where regexp_matches(found, '\bspecimen\b')
),
heavy as (
    select volumes.volume_id, 4 as caution_order, 'two_person_lift' as caution
    from published.volumes as volumes
    cross join lift
    where volumes.page_height_mm >= lift.height_mm
        or volumes.page_width_mm >= lift.width_mm
        or volumes.fore_edge_after_mm >= lift.thickness_mm
),
frail as (
    select volume_id, 5 as caution_order, concat('leaves_', leaf_condition) as caution
    from published.volumes
    where leaf_condition <> 'sound'
)
select volume_id, caution_order, caution from held
union all
select volume_id, caution_order, caution from pins
union all
select volume_id, caution_order, caution from specimens
union all
select volume_id, caution_order, caution from heavy
union all
select volume_id, caution_order, caution from frail
order by volume_id, caution_order, caution
