-- One row per volume that gets a new enclosure.
select
    volume_id, enclosure_id, inner_width_mm, inner_height_mm, inner_depth_mm, price, shelved
from work.enclosure_fits
