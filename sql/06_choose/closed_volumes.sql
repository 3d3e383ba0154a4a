-- One row per volume: size when closed, after the chosen work. Reads clean.volumes, work.choices, work.option_bulk.
with chosen as (
    select volumes.volume_id, coalesce(choices.option_no, 0) as option_no
    from clean.volumes
    left join work.choices using (volume_id)
)
select
    option_bulk.volume_id,
    option_bulk.closed_width_mm,
    option_bulk.closed_height_mm,
    option_bulk.closed_thickness_mm,
    option_bulk.shelved
from work.option_bulk
join chosen using (volume_id, option_no)
