-- rule: Each volume's state agrees with its hold, its joints, its hazards and its sheets.
-- on_hold exactly with a hold; sheets exactly where covered or prioritised; no sheet for a volume that waits.
-- Source: trade model, section 5.
with thickest as (
    select max(effective_thickness_um) as thickness_um
    from published.papers
),
judged as (
    select
        volumes.volume_id,
        volumes.state,
        concat_ws(
            '; ',
            case when (state = 'on_hold') <> (hold is not null)
                then 'its hold is ' || coalesce(hold, 'blank') end,
            case when sheets > 0 and state not in ('covered', 'prioritised')
                then 'it gets ' || sheets || ' sheets' end,
            case when sheets = 0 and state in ('covered', 'prioritised') then 'it gets no sheets' end,
            case when state not in ('on_hold', 'nothing_needed') and hazard_openings = 0
                then 'no opening has a hazard' end,
            case when state = 'nothing_needed' and no_paper_openings > 0
                then no_paper_openings || ' openings have no permitted paper' end,
            case when joints = 'split' and state not in ('on_hold', 'nothing_needed', 'treat_first')
                then 'its joints are split' end,
            case when joints <> 'split' and state = 'treat_first' then 'its joints are ' || joints end,
            case when state = 'no_paper' and no_paper_openings = 0 then 'every opening has a permitted paper' end,
            case when state = 'no_headroom' and headroom_um >= thickest.thickness_um
                then printf('its headroom of %d um takes a sheet of any paper', headroom_um) end,
            case when no_paper_openings > hazard_openings
                then no_paper_openings || ' of ' || hazard_openings || ' openings have no paper' end,
            case when sheets > hazard_openings - no_paper_openings
                then sheets || ' sheets for '
                    || hazard_openings - no_paper_openings || ' openings that may have one' end,
            case when benefit_planned > benefit_possible + 1e-6 and musts.volume_id is null
                then printf('benefit %.6f of a possible %.6f', benefit_planned, benefit_possible) end
        ) as faults
    from published.volumes
    cross join thickest
    left join (
        select distinct volume_id from published.decisions where decision = 'must'
    ) as musts using (volume_id)
)
select volume_id, state, volume_id || ' is ' || state || ': ' || faults as what
from judged
where faults <> ''
