-- One row per group, hazard, side and mechanism: rate of loss of the facing page, per century.
-- Rate = base x severity x vulnerability of the page it faces x handling (trade model, section 3; all judgement).
-- A volume with odour has one more row for each group, hazard `odour`, with no severity.
-- Reads work.opening_groups, clean.volumes, policy.*.
with hazard_words as (
    select
        volume_id,
        group_no,
        left_content,
        right_content,
        unnest(string_split(hazards, ', ')) as word,
        cast(unnest(string_split(severity, ', ')) as bigint) as severity_grade
    from work.opening_groups
),
sided as (
    select
        volume_id,
        group_no,
        left_content,
        right_content,
        case when contains(word, ':') then split_part(word, ':', 2) else word end as hazard,
        case when contains(word, ':') then split_part(word, ':', 1) else '' end as side,
        severity_grade
    from hazard_words
),
page_texts as (
    select left_content as content from work.opening_groups
    union
    select right_content from work.opening_groups
),
page_words as (
    select content, unnest(string_split(content, ', ')) as content_word from page_texts
),
pages as (
    select content, max(vulnerability_frac) as vulnerability_frac
    from page_words
    join policy.contents using (content_word)
    group by content
),
faced as (
    select
        sided.volume_id,
        sided.group_no,
        sided.hazard,
        sided.side,
        sided.severity_grade,
        case sided.side
            when 'left' then right_pages.vulnerability_frac
            when 'right' then left_pages.vulnerability_frac
            else greatest(left_pages.vulnerability_frac, right_pages.vulnerability_frac)
        end as vulnerability_frac
    from sided
    join pages as left_pages on left_pages.content = sided.left_content
    join pages as right_pages on right_pages.content = sided.right_content
),
hazard_rows as (
    select
        faced.volume_id,
        faced.group_no,
        faced.hazard,
        faced.side,
        hazards.mechanism,
        faced.severity_grade,
        hazards.loss_rate_per_century * severities.severity_factor * faced.vulnerability_frac
            * use_factors.use_factor as loss_rate_per_century
    from faced
    join clean.volumes using (volume_id)
    join policy.hazards using (hazard)
    join policy.severities using (severity_grade)
    join policy.use_factors on use_factors.use = volumes.use and use_factors.mechanism = hazards.mechanism
),
odour_rows as (
    select
        opening_groups.volume_id,
        opening_groups.group_no,
        'odour' as hazard,
        '' as side,
        'odour' as mechanism,
        cast(null as bigint) as severity_grade,
        figures.value as loss_rate_per_century
    from work.opening_groups
    join clean.volumes using (volume_id)
    cross join policy.figures
    where volumes.odour and figures.key = 'risk.odour_loss_rate_per_century'
)
select volume_id, group_no, hazard, side, mechanism, severity_grade, loss_rate_per_century from hazard_rows
union all by name
select volume_id, group_no, hazard, side, mechanism, severity_grade, loss_rate_per_century from odour_rows
