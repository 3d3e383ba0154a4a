-- rule: The loss stated for each group follows from its hazards, severities, content and use, by the policy's rates.
-- rate = base x severity x vulnerability of the page faced x handling; L = 1 - exp(-sum of rates x T / 100).
-- Source: trade model, section 3.
with horizon as (
    select try_cast(value as double) / 100 as horizon_centuries
    from published.campaign
    where setting = 'horizon_years'
),
hazard_words as (
    select
        volume_id,
        group_no,
        left_content,
        right_content,
        unnest(string_split(hazards, ', ')) as word,
        unnest(string_split(severity, ', ')) as severity_grade
    from published.opening_groups
),
vulnerabilities as (
    select split_part(key, '.', 2) as content_word, value as vulnerability_frac
    from published.policy
    where key like 'content.%.vulnerability_frac'
),
page_words as (
    select content, unnest(string_split(content, ', ')) as content_word
    from (
        select left_content as content from published.opening_groups
        union
        select right_content from published.opening_groups
    )
),
pages as (
    select page_words.content, max(vulnerabilities.vulnerability_frac) as vulnerability_frac
    from page_words
    join vulnerabilities using (content_word)
    group by page_words.content
),
faced as (
    select
        hazard_words.volume_id,
        hazard_words.group_no,
        hazard_words.severity_grade,
        regexp_replace(hazard_words.word, '^(left|right):', '') as hazard,
        case
            when hazard_words.word like 'left:%' then right_pages.vulnerability_frac
            when hazard_words.word like 'right:%' then left_pages.vulnerability_frac
            else greatest(left_pages.vulnerability_frac, right_pages.vulnerability_frac)
        end as vulnerability_frac
    from hazard_words
    join pages as left_pages on left_pages.content = hazard_words.left_content
    join pages as right_pages on right_pages.content = hazard_words.right_content
),
bases as (
    select
        split_part(key, '.', 2) as hazard,
        regexp_extract(key, '\.([a-z]+)_rate_per_century$', 1) as mechanism,
        value as loss_rate_per_century
    from published.policy
    where key like 'hazard.%_rate_per_century'
),
rates as (
    select
        faced.volume_id,
        faced.group_no,
        bases.loss_rate_per_century * severities.value * faced.vulnerability_frac
            * case when handling.value > 0 then uses.value else 1 end as loss_rate_per_century
    from faced
    join published.volumes using (volume_id)
    join bases using (hazard)
    join published.policy as severities on severities.key = 'severity.' || faced.severity_grade || '.factor'
    join published.policy as uses on uses.key = 'use.' || volumes.use || '.factor'
    left join published.policy as handling
        on handling.key = 'mechanism.' || bases.mechanism || '.is_worsened_by_handling'
    union all
    select opening_groups.volume_id, opening_groups.group_no, policy.value as loss_rate_per_century
    from published.opening_groups
    join published.volumes using (volume_id)
    cross join published.policy
    where volumes.odour and policy.key = 'risk.odour_loss_rate_per_century'
),
losses as (
    select
        rates.volume_id,
        rates.group_no,
        1 - exp(-sum(rates.loss_rate_per_century) * any_value(horizon.horizon_centuries)) as expected_loss
    from rates
    cross join horizon
    group by rates.volume_id, rates.group_no
)
select
    opening_groups.volume_id,
    opening_groups.group_no,
    printf(
        '%s group %d: loss %.9f an opening is stated, %.9f follows',
        opening_groups.volume_id, opening_groups.group_no, opening_groups.loss_before,
        coalesce(losses.expected_loss, 0)
    ) as what
from published.opening_groups
left join losses using (volume_id, group_no)
where abs(opening_groups.loss_before - coalesce(losses.expected_loss, 0)) > 1e-9
