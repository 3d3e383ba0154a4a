-- One row per change against the revision before.
select change_no, revision, subject, subject_id, what, before, after, why from work.changes
