-- rule: The finish date stated is the day on which the last dated task ends, inside the campaign.
with finishes as (
    select strftime(max(finish_at), '%Y-%m-%d') as finish_date, max(finish_at) as finish_at
    from published.tasks
),
stated as (
    select text as finish_date
    from published.campaign_totals
    where collection is null and measure = 'finish_date' and basis = 'planned'
)
select
    'campaign' as scope,
    printf(
        'finish date %s is stated, the last task ends on %s, the campaign on %s',
        coalesce(stated.finish_date, 'none'), coalesce(finishes.finish_date, 'no day'), cast(run.end_date as varchar)
    ) as what
from published.run
cross join finishes
left join stated on true
where stated.finish_date is distinct from finishes.finish_date
    or cast(finishes.finish_at as date) > run.end_date
