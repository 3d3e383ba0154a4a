-- rule: New enclosures go to the volumes marked for one, but to none on hold, to be treated first or deferred.
-- Source: trade model, section 9.
select
    volumes.volume_id,
    printf(
        '%s is %s and marked %s: %s', volumes.volume_id, volumes.state, volumes.enclosure,
        case when enclosures.volume_id is null then 'it gets no enclosure' else 'it gets an enclosure' end
    ) as what
from published.volumes
left join published.enclosures using (volume_id)
where (volumes.enclosure = 'new' and volumes.state not in ('on_hold', 'treat_first', 'deferred'))
    <> (enclosures.volume_id is not null)
