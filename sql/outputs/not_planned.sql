-- One row per volume that gets no sheets, with the reason and whether it is re-housed all the same.
-- Reads published.volumes, published.enclosures.
select
    volumes.state,
    volumes.volume_id,
    volumes.title,
    volumes.collection,
    volumes.location,
    volumes.hold,
    volumes.hazard_openings,
    volumes.no_paper_openings,
    volumes.reason,
    enclosures.volume_id is not null as has_new_enclosure
from published.volumes as volumes
left join published.enclosures as enclosures using (volume_id)
where volumes.sheets = 0
order by volumes.state, volumes.collection, volumes.volume_id
