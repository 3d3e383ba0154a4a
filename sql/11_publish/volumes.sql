-- One row per volume: what was measured, what is planned, and why.
-- Reads clean.volumes, clean.volume_counts, work.volume_plans, work.fit_states, work.headroom, work.laid_bulk.
with counts as (
    select
        volume_id,
        max(count) filter (hazard = 'acidic_insert') as openings_acidic_insert,
        max(count) filter (hazard = 'unstable_media') as openings_unstable_media,
        max(count) filter (hazard = 'friable_media') as openings_friable_media,
        max(count) filter (hazard = 'fastener') as openings_fastener,
        max(count) filter (hazard = 'raised_attachment') as openings_raised_attachment,
        max(count) filter (hazard = 'facing_photographs') as openings_facing_photographs,
        max(count) filter (hazard = 'staining_adhesive') as openings_staining_adhesive,
        max(count) filter (hazard = 'tacky_adhesive') as openings_tacky_adhesive
    from clean.volume_counts
    group by volume_id
)
select
    volumes.volume_id,
    volumes.collection,
    volume_plans.state,
    fit_states.hazard_openings,
    fit_states.no_paper_openings,
    volume_plans.sheets,
    fit_states.benefit_possible,
    volume_plans.benefit_planned,
    headroom.headroom_um,
    volume_plans.added_um,
    coalesce(laid_bulk.laid_sheets_count, 0) as laid_sheets_count,
    coalesce(laid_bulk.laid_um, 0) as laid_um,
    volume_plans.wedge_before_deg,
    volume_plans.wedge_after_deg,
    headroom.wedge_limit_deg,
    volume_plans.fore_edge_before_mm,
    volume_plans.fore_edge_after_mm,
    volume_plans.reason,
    volumes.title,
    volumes.location,
    volumes.page_width_mm,
    volumes.page_height_mm,
    volumes.leaves,
    volumes.binding,
    volumes.joints,
    volumes.leaf_condition,
    volumes.spine_thickness_mm,
    volumes.fore_edge_thickness_mm,
    volumes.extension_mm,
    volumes.use,
    volumes.significance,
    volumes.odour,
    volumes.hold,
    volumes.buffer_rule,
    volumes.contents,
    volumes.existing_leaves,
    volumes.existing_leaf_thickness_um,
    volumes.skill,
    volumes.enclosure,
    volumes.cover_width_mm,
    volumes.cover_height_mm,
    volumes.boards_thickness_mm,
    volumes.shelf_order,
    volumes.stratum,
    counts.openings_acidic_insert,
    counts.openings_unstable_media,
    counts.openings_friable_media,
    counts.openings_fastener,
    counts.openings_raised_attachment,
    counts.openings_facing_photographs,
    counts.openings_staining_adhesive,
    counts.openings_tacky_adhesive
from clean.volumes
join work.volume_plans using (volume_id)
join work.fit_states using (volume_id)
join work.headroom using (volume_id)
left join counts using (volume_id)
left join work.laid_bulk using (volume_id)
