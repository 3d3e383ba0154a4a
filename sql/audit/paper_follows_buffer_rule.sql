-- rule: A volume the surveyor marked buffered_only or unbuffered_only gets no other paper.
-- Source: trade model, section 4.
select distinct
    interleaves.volume_id,
    interleaves.paper_id,
    printf(
        '%s is marked %s and gets %s, which is %s',
        interleaves.volume_id, volumes.buffer_rule, interleaves.paper_id, papers.buffer
    ) as what
from published.interleaves
join published.volumes using (volume_id)
join published.papers using (paper_id)
where volumes.buffer_rule is not null and volumes.buffer_rule <> papers.buffer || '_only'
