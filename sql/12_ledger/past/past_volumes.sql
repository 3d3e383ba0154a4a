-- One row per volume: fore edge before and as planned after, and where the wedge limit would be reached.
--   limit = S + x + 2 w tan(theta / 2)   (trade model, section 5). Reads published.volumes, work.headroom.
select
    run.revision,
    volumes.volume_id,
    volumes.collection,
    volumes.sheets,
    volumes.skill,
    volumes.page_height_mm,
    volumes.existing_leaves,
    headroom.removed_um,
    volumes.fore_edge_before_mm,
    volumes.fore_edge_after_mm,
    volumes.spine_thickness_mm + volumes.extension_mm
        + 2 * volumes.page_width_mm * tan(radians(volumes.wedge_limit_deg) / 2) as fore_edge_limit_mm,
    volumes.enclosure
from published.volumes
join work.headroom using (volume_id)
cross join published.run
