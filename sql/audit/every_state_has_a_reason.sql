-- rule: Every volume says in words why it is in its state, and every planned sheet why it lies there.
select volume_id, volume_id || ' is ' || state || ' and does not say why' as what
from published.volumes
where trim(reason) = ''
union all
select volume_id, printf('%s group %d: no reason for its %d sheets', volume_id, group_no, sheets) as what
from published.interleaves
where trim(reason) = ''
