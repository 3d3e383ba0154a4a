-- One row per volume: final state and reason, bulk before and after (trade model, section 5).
-- The state of content, paper and bulk stands unless the campaign's budgets or dates left the volume out whole
-- (deferred) or left a wanted opening without a sheet (prioritised); where a cheaper option still covers every wanted
-- opening the volume stays covered. Reads clean.volumes, work.fit_states, work.choices, work.options,
-- work.option_bulk, work.option_sheets, work.opening_groups, work.fit_groups.
with chosen as (
    select volumes.volume_id, coalesce(choices.option_no, 0) as option_no, coalesce(choices.reason, '') as reason
    from clean.volumes
    left join work.choices using (volume_id)
),
wanted_groups as (
    select fit_groups.volume_id, fit_groups.group_no, opening_groups.count
    from work.fit_groups
    join work.opening_groups using (volume_id, group_no)
    where fit_groups.is_wanted
),
group_sheets as (
    select option_sheets.volume_id, option_sheets.group_no, sum(option_sheets.sheets) as sheets
    from work.option_sheets
    join chosen using (volume_id, option_no)
    group by option_sheets.volume_id, option_sheets.group_no
),
bare as (
    -- volumes with a wanted opening that gets no sheet
    select distinct wanted_groups.volume_id
    from wanted_groups
    left join group_sheets using (volume_id, group_no)
    where coalesce(group_sheets.sheets, 0) < wanted_groups.count
),
plans as (
    select
        volumes.volume_id,
        case
            when options.option_kind is null or options.option_kind = 'all' then fit_states.state
            when fit_states.state not in ('covered', 'prioritised') then fit_states.state
            when option_bulk.sheets = 0 then 'deferred'
            when bare.volume_id is not null then 'prioritised'
            else 'covered'
        end as state,
        case
            when chosen.reason = '' then fit_states.reason
            when fit_states.state in ('covered', 'prioritised') then chosen.reason
            else fit_states.reason || '; ' || chosen.reason
        end as reason,
        option_bulk.sheets,
        coalesce(options.benefit, 0) as benefit_planned,
        option_bulk.added_um,
        degrees(2 * atan(
            (volumes.fore_edge_thickness_mm - volumes.spine_thickness_mm) / (2 * volumes.page_width_mm)
        )) as wedge_before_deg,
        option_bulk.wedge_after_deg,
        volumes.fore_edge_thickness_mm as fore_edge_before_mm,
        option_bulk.fore_edge_after_mm,
        option_bulk.spine_after_mm
    from clean.volumes
    join work.fit_states using (volume_id)
    join chosen using (volume_id)
    join work.option_bulk using (volume_id, option_no)
    left join work.options using (volume_id, option_no)
    left join bare using (volume_id)
)
select
    volume_id,
    state,
    reason,
    sheets,
    cast(benefit_planned as double) as benefit_planned,
    added_um,
    wedge_before_deg,
    wedge_after_deg,
    fore_edge_before_mm,
    fore_edge_after_mm,
    spine_after_mm
from plans
