-- rule: No volume gets more bulk than its headroom.
select
    volume_id,
    printf('%s gets %d um, its headroom is %d um', volume_id, added_um, headroom_um) as what
from published.volumes
where added_um > headroom_um
