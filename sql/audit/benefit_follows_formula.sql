-- rule: The benefit stated for each group's sheets follows from its hazards and the paper, by the policy's figures.
-- b = significance x (L(o) - L(o, p)), L(o, p) = 1 - exp(-sum of rates x (1 - efficacy) x T / 100).
-- Source: trade model, section 3. The loss without a sheet is checked by a rule of its own.
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
        bases.mechanism,
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
    select
        opening_groups.volume_id,
        opening_groups.group_no,
        'odour' as mechanism,
        policy.value as loss_rate_per_century
    from published.opening_groups
    join published.volumes using (volume_id)
    cross join published.policy
    where volumes.odour and policy.key = 'risk.odour_loss_rate_per_century'
),
properties as (
    select paper_id, 'any_sheet' as paper_property from published.papers
    union all select paper_id, surface from published.papers
    union all select paper_id, buffer from published.papers
    union all select paper_id, 'adsorbent' from published.papers where adsorbent
    union all select paper_id, 'pat_pass' from published.papers where pat = 'pass'
),
efficacies as (
    select
        properties.paper_id,
        split_part(policy.key, '.', 2) as mechanism,
        max(policy.value) as efficacy_frac
    from properties
    join published.policy
        on policy.key like 'efficacy.%' and split_part(policy.key, '.', 3) = properties.paper_property || '_frac'
    group by properties.paper_id, split_part(policy.key, '.', 2)
),
expected as (
    select
        interleaves.volume_id,
        interleaves.group_no,
        interleaves.paper_id,
        any_value(significances.value) * greatest(
            0,
            exp(-sum(rates.loss_rate_per_century * (1 - efficacies.efficacy_frac))
                * any_value(horizon.horizon_centuries))
            - exp(-sum(rates.loss_rate_per_century) * any_value(horizon.horizon_centuries))
        ) as benefit_per_sheet
    from published.interleaves
    join published.volumes using (volume_id)
    join rates using (volume_id, group_no)
    join efficacies on efficacies.paper_id = interleaves.paper_id and efficacies.mechanism = rates.mechanism
    join published.policy as significances
        on significances.key = 'significance.' || volumes.significance || '.weight'
    cross join horizon
    group by interleaves.volume_id, interleaves.group_no, interleaves.paper_id
)
select
    interleaves.volume_id,
    interleaves.group_no,
    interleaves.paper_id,
    printf(
        '%s group %d, %s: benefit %.9f is stated for %d sheets, %.9f follows',
        interleaves.volume_id, interleaves.group_no, interleaves.paper_id, interleaves.benefit,
        interleaves.sheets, interleaves.sheets * coalesce(expected.benefit_per_sheet, 0)
    ) as what
from published.interleaves
left join expected using (volume_id, group_no, paper_id)
where abs(interleaves.benefit - interleaves.sheets * coalesce(expected.benefit_per_sheet, 0))
    > 1e-9 * greatest(1, interleaves.sheets)
