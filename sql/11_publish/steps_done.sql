-- One row per volume in the lab and step that an earlier revision did to it.
select volume_id, kind, done_on from work.steps_done
