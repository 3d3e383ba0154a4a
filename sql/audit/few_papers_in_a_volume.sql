-- rule: No volume gets more different papers than the policy allows.
select
    volume_id,
    printf('%s gets %d papers: %s', volume_id, count(distinct paper_id), string_agg(distinct paper_id, ', ')) as what
from published.interleaves
group by volume_id
having count(distinct paper_id) > (select value from published.policy where key = 'fit.max_papers_count')
