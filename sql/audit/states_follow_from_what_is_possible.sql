-- rule: Openings without paper, possible benefit and state follow from each volume's hazards, the papers and its room.
-- Every paper is judged for every group again: hard rules, handling limit, a stock that gives the leaf; then the first
-- state that applies. Volumes a person decided on are left out. Source: trade model, sections 3 to 6.
with figures as (
    select
        max(value) filter (key = 'paper.least_ph') as least_ph,
        max(value) filter (key = 'paper.adsorbent_staining_severity_grade') as adsorbent_grade,
        max(value) filter (key = 'paper.bending_per_width_frac') as plain_frac,
        max(value) filter (key = 'paper.bending_per_width_careful_frac') as careful_frac,
        max(value) filter (key = 'fit.benefit_floor_benefit') as floor_benefit,
        max(value) filter (key = 'size.most_clearance_mm') as most_clearance_mm,
        max(value) filter (key = 'cut.roll_parent_max_length_mm') as roll_max_length_mm,
        max(value) filter (key = 'risk.odour_loss_rate_per_century') as odour_rate,
        (
            select try_cast(value as double) / 100 from published.campaign where setting = 'horizon_years'
        ) as horizon_centuries,
        (
            select try_cast(value as double) from published.campaign where setting = 'guillotine_max_cut_mm'
        ) as max_cut_mm
    from published.policy
),
content_words as (
    select
        split_part(key, '.', 2) as content_word,
        max(value) filter (key like '%.vulnerability_frac') as vulnerability_frac,
        coalesce(max(value) filter (key like '%.is_photograph'), 0) > 0 as is_photograph,
        coalesce(max(value) filter (key like '%.is_silver'), 0) > 0 as is_silver,
        coalesce(max(value) filter (key like '%.is_ph_sensitive'), 0) > 0 as is_ph_sensitive
    from published.policy
    where key like 'content.%'
    group by split_part(key, '.', 2)
),
page_words as (
    select volume_id, group_no, 'left' as side, unnest(string_split(left_content, ', ')) as content_word
    from published.opening_groups
    union all
    select volume_id, group_no, 'right' as side, unnest(string_split(right_content, ', ')) as content_word
    from published.opening_groups
),
pages as (
    select
        page_words.volume_id,
        page_words.group_no,
        max(vulnerability_frac) filter (side = 'left') as left_frac,
        max(vulnerability_frac) filter (side = 'right') as right_frac
    from page_words
    join content_words using (content_word)
    group by page_words.volume_id, page_words.group_no
),
volume_words as (
    select volume_id, content_word
    from page_words
    union
    select volume_id, trim(unnest(string_split(replace(contents, ';', ','), ','))) as content_word
    from published.volumes
),
known_words as (
    select volume_id, content_word
    from volume_words
    where content_word not in ('unknown', 'blank', '')
),
asking_words as (
    select volume_id, group_no, content_word
    from page_words
    union
    select page_words.volume_id, page_words.group_no, known_words.content_word
    from page_words
    join known_words using (volume_id)
    where page_words.content_word = 'unknown'
),
content_needs as (
    select
        asking_words.volume_id,
        asking_words.group_no,
        bool_or(is_photograph)
            or (bool_or(content_word = 'unknown') and any_value(known.volume_id) is null) as needs_pat,
        bool_or(is_silver) as needs_sulphur_free,
        bool_or(is_ph_sensitive) as needs_unbuffered
    from asking_words
    join content_words using (content_word)
    left join (select distinct volume_id from known_words) as known using (volume_id)
    group by asking_words.volume_id, asking_words.group_no
),
hazard_words as (
    select
        volume_id,
        group_no,
        unnest(string_split(hazards, ', ')) as word,
        unnest(string_split(severity, ', ')) as severity_grade,
        regexp_replace(word, '^(left|right):', '') as hazard
    from published.opening_groups
),
bases as (
    select
        split_part(key, '.', 2) as hazard,
        regexp_extract(key, '\.([a-z]+)_rate_per_century$', 1) as mechanism,
        value as base_rate
    from published.policy
    where key like 'hazard.%_rate_per_century'
),
rates as (
    select
        hazard_words.volume_id,
        hazard_words.group_no,
        hazard_words.hazard,
        bases.mechanism,
        cast(hazard_words.severity_grade as bigint) as severity_grade,
        bases.base_rate * severities.value
            * case
                when word like 'left:%' then right_frac
                when word like 'right:%' then left_frac
                else greatest(left_frac, right_frac)
            end
            * case when handling.value > 0 then uses.value else 1 end as rate
    from hazard_words
    join pages using (volume_id, group_no)
    join published.volumes using (volume_id)
    join bases using (hazard)
    join published.policy as severities on severities.key = 'severity.' || severity_grade || '.factor'
    join published.policy as uses on uses.key = 'use.' || volumes.use || '.factor'
    left join published.policy as handling
        on handling.key = 'mechanism.' || bases.mechanism || '.is_worsened_by_handling'
    union all
    select volume_id, group_no, 'odour' as hazard, 'odour' as mechanism, 0 as severity_grade, odour_rate as rate
    from published.opening_groups
    join published.volumes using (volume_id)
    cross join figures
    where volumes.odour
),
hazard_needs as (
    select
        volume_id,
        group_no,
        bool_or(hazard = 'facing_photographs') as has_facing_photographs,
        bool_or(hazard = 'tacky_adhesive') as needs_release,
        bool_or(hazard in ('fastener', 'raised_attachment')) as has_hard_parts,
        bool_or(mechanism = 'staining' and severity_grade >= adsorbent_grade) as has_severe_staining
    from rates
    cross join figures
    group by volume_id, group_no
),
properties as (
    select paper_id, 'any_sheet' as paper_property from published.papers
    union all select paper_id, surface from published.papers
    union all select paper_id, buffer from published.papers
    union all select paper_id, 'adsorbent' from published.papers where adsorbent
    union all select paper_id, 'pat_pass' from published.papers where pat = 'pass'
),
efficacies as (
    select properties.paper_id, split_part(policy.key, '.', 2) as mechanism, max(policy.value) as efficacy_frac
    from properties
    join published.policy
        on policy.key like 'efficacy.%' and split_part(policy.key, '.', 3) = properties.paper_property || '_frac'
    group by properties.paper_id, split_part(policy.key, '.', 2)
),
parents as (
    select
        stock.paper_id,
        stock.grain = 'long' or papers.grain_rule <> 'require' as may_stand,
        stock.grain = 'short' or papers.grain_rule <> 'require' as may_lie,
        stock.width_mm - 2 * stock.trim_mm as usable_width_mm,
        -- the first cuts run across the width, or along a length the guillotine can cut
        case
            when stock.form = 'roll' then least(
                stock.length_mm, roll_max_length_mm,
                case when stock.width_mm <= max_cut_mm then stock.length_mm else max_cut_mm end
            )
            when least(stock.width_mm, stock.length_mm) <= max_cut_mm then stock.length_mm
            else 0
        end - 2 * stock.trim_mm as usable_length_mm
    from published.stock
    join published.papers using (paper_id)
    cross join figures
),
reached as (
    select distinct volumes.volume_id, parents.paper_id
    from published.volumes
    cross join figures
    join parents
        on (
            may_stand
            and page_width_mm - most_clearance_mm <= usable_width_mm
            and page_height_mm - most_clearance_mm <= usable_length_mm
        )
        or (
            may_lie
            and page_height_mm - most_clearance_mm <= usable_width_mm
            and page_width_mm - most_clearance_mm <= usable_length_mm
        )
),
permitted as (
    select content_needs.volume_id, content_needs.group_no, papers.paper_id, papers.effective_thickness_um
    from content_needs
    join hazard_needs using (volume_id, group_no)
    join published.volumes using (volume_id)
    join reached using (volume_id)
    join published.papers using (paper_id)
    cross join figures
    where papers.lignin_free
        and not papers.glassine
        and papers.ph >= least_ph
        and (not papers.adsorbent or volumes.odour or has_severe_staining)
        and (papers.pat = 'pass' or not (needs_pat or has_facing_photographs))
        and (papers.sulphur_free = 'yes' or not needs_sulphur_free)
        and (papers.buffer = 'unbuffered' or not needs_unbuffered)
        and (papers.surface = 'release' or not needs_release)
        and papers.buffer || '_only' = coalesce(volumes.buffer_rule, papers.buffer || '_only')
        and papers.bending_length_mm >= page_width_mm
            * case when has_hard_parts or leaf_condition = 'brittle' then careful_frac else plain_frac end
),
benefits as (
    select
        permitted.volume_id,
        permitted.group_no,
        permitted.paper_id,
        any_value(permitted.effective_thickness_um) as thickness_um,
        any_value(significances.value) * greatest(
            0,
            exp(-sum(rates.rate * (1 - efficacy_frac)) * any_value(horizon_centuries))
                - exp(-sum(rates.rate) * any_value(horizon_centuries))
        ) as benefit
    from permitted
    join rates using (volume_id, group_no)
    join efficacies on efficacies.paper_id = permitted.paper_id and efficacies.mechanism = rates.mechanism
    join published.volumes using (volume_id)
    join published.policy as significances
        on significances.key = 'significance.' || volumes.significance || '.weight'
    cross join figures
    group by permitted.volume_id, permitted.group_no, permitted.paper_id
),
group_bests as (
    select
        opening_groups.volume_id,
        opening_groups.group_no,
        opening_groups.count,
        max(benefits.benefit) as best_benefit,
        coalesce(max(benefits.benefit) >= any_value(floor_benefit), false) as is_wanted,
        min(benefits.thickness_um) filter (benefits.benefit >= floor_benefit) as thinnest_um,
        bool_or(abs(benefits.benefit - floor_benefit) < 1e-9) as is_on_the_floor
    from published.opening_groups
    left join benefits using (volume_id, group_no)
    cross join figures
    group by opening_groups.volume_id, opening_groups.group_no, opening_groups.count
),
group_sheets as (
    select volume_id, group_no, sum(sheets) as sheets
    from published.interleaves
    group by volume_id, group_no
),
computed as (
    select
        volumes.*,
        coalesce(sum(group_bests.count) filter (best_benefit is null), 0) as expected_no_paper,
        coalesce(sum(group_bests.count) filter (is_wanted), 0) as wanted_openings,
        coalesce(sum(group_bests.count * best_benefit) filter (is_wanted), 0) as expected_possible,
        coalesce(sum(group_bests.count - coalesce(group_sheets.sheets, 0)) filter (is_wanted), 0) as bare_openings,
        min(thinnest_um) as thinnest_um,
        coalesce(bool_or(is_on_the_floor), false) as is_on_the_floor
    from published.volumes
    anti join published.decisions on decisions.volume_id = volumes.volume_id
    left join (
        select * exclude (volume_id), volume_id as id from group_bests
    ) as group_bests on group_bests.id = volumes.volume_id
    left join group_sheets
        on group_sheets.volume_id = volumes.volume_id and group_sheets.group_no = group_bests.group_no
    group by all
),
judged as (
    select
        *,
        case
            when hold is not null then 'on_hold'
            when wanted_openings = 0 and expected_no_paper = 0 then 'nothing_needed'
            when joints = 'split' then 'treat_first'
            when wanted_openings = 0 then 'no_paper'
            when sheets = 0 and headroom_um < thinnest_um then 'no_headroom'
            when sheets = 0 then 'deferred'
            when bare_openings > 0 then 'prioritised'
            else 'covered'
        end as expected_state
    from computed
    where not is_on_the_floor
)
select
    volume_id,
    printf(
        '%s is %s, %d openings without paper, benefit %.9f possible; %s, %d openings, %.9f follow',
        volume_id, state, no_paper_openings, benefit_possible, expected_state, expected_no_paper, expected_possible
    ) as what
from judged
where state <> expected_state
    or no_paper_openings <> expected_no_paper
    or abs(benefit_possible - expected_possible) > 1e-6
