-- One row per volume: what the plan makes of it, which papers, how many hours, the day its work ends (blank: no date).
-- Reads published.volumes, published.interleaves, published.tasks.
with papers as (
    select volume_id, string_agg(distinct paper_id, ', ' order by paper_id) as papers
    from published.interleaves
    group by volume_id
),
work as (
    select
        volume_id,
        sum(hours order by task_id) as hours,
        max(cast(finish_at as date)) as finish_day
    from published.tasks
    where volume_id is not null
    group by volume_id
)
select
    volumes.volume_id,
    volumes.collection,
    volumes.state,
    volumes.sheets,
    volumes.benefit_planned,
    coalesce(papers.papers, '') as papers,
    coalesce(work.hours, 0) as hours,
    work.finish_day,
    volumes.reason
from published.volumes
left join papers using (volume_id)
left join work using (volume_id)
order by volumes.volume_id
