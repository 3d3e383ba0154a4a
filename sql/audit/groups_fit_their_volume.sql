-- rule: A volume's groups hold no more openings than the volume has, and as many as it is said to have with a hazard.
select
    volumes.volume_id,
    printf(
        '%s: its groups hold %d openings, %d are said to have a hazard, it has %d openings in all',
        volumes.volume_id, coalesce(sum(opening_groups.count), 0), any_value(volumes.hazard_openings),
        any_value(volumes.leaves) + 1
    ) as what
from published.volumes
left join published.opening_groups using (volume_id)
group by volumes.volume_id
having coalesce(sum(opening_groups.count), 0) <> any_value(volumes.hazard_openings)
    or any_value(volumes.hazard_openings) > any_value(volumes.leaves) + 1
