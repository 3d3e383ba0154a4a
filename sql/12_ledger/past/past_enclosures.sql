-- One row per volume that this plan gives a new enclosure. Reads published.enclosures.
select run.revision, enclosures.volume_id, enclosures.enclosure_id, enclosures.price
from published.enclosures
cross join published.run
