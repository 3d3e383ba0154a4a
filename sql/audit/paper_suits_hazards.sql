-- rule: Tacky adhesive gets a release surface; adsorbent paper lies only where there is odour or severe staining.
-- Source: trade model, section 4.
with hazard_words as (
    select
        volume_id,
        group_no,
        regexp_replace(unnest(string_split(hazards, ', ')), '^(left|right):', '') as hazard,
        cast(unnest(string_split(severity, ', ')) as bigint) as severity_grade
    from published.opening_groups
),
staining_hazards as (
    select split_part(key, '.', 2) as hazard
    from published.policy
    where key like 'hazard.%.staining_rate_per_century'
),
needs as (
    select
        hazard_words.volume_id,
        hazard_words.group_no,
        bool_or(hazard_words.hazard = 'tacky_adhesive') as has_tacky_adhesive,
        bool_or(staining_hazards.hazard is not null and hazard_words.severity_grade >= (
            select value from published.policy where key = 'paper.adsorbent_staining_severity_grade'
        )) as has_severe_staining
    from hazard_words
    left join staining_hazards using (hazard)
    group by hazard_words.volume_id, hazard_words.group_no
),
judged as (
    select
        interleaves.volume_id,
        interleaves.group_no,
        interleaves.paper_id,
        concat_ws(
            '; ',
            case when needs.has_tacky_adhesive and papers.surface <> 'release'
                then 'tacky adhesive lies there, its surface is ' || papers.surface end,
            case when papers.adsorbent and not volumes.odour and not needs.has_severe_staining
                then 'it is adsorbent, and there is neither odour nor severe staining' end
        ) as faults
    from published.interleaves
    join published.volumes using (volume_id)
    join published.papers using (paper_id)
    join needs using (volume_id, group_no)
)
select
    volume_id,
    group_no,
    paper_id,
    printf('%s group %d gets %s: %s', volume_id, group_no, paper_id, faults) as what
from judged
where faults <> ''
