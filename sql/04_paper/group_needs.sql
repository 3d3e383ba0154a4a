-- One row per group: what its openings ask of a paper (trade model, section 4; both pages together).
-- Where a page is unknown the volume's whole known content counts; a volume with no content words at all is
-- treated as possibly holding photographs. Reads work.opening_groups, clean.volumes, clean.*contents, policy.contents.
with texts as (
    select distinct left_content || ', ' || right_content as content from work.opening_groups
),
text_words as (
    select content, unnest(string_split(content, ', ')) as content_word from texts
),
text_needs as (
    select
        text_words.content,
        bool_or(contents.is_photograph) as is_photograph,
        bool_or(contents.is_silver) as is_silver,
        bool_or(contents.is_ph_sensitive) as is_ph_sensitive,
        bool_or(text_words.content_word = 'unknown') as is_unknown
    from text_words
    join policy.contents using (content_word)
    group by text_words.content
),
volume_words as (
    select volume_id, content_word from clean.volume_contents
    union
    select volume_id, content_word from clean.row_contents
),
volume_needs as (
    select
        volume_words.volume_id,
        bool_or(contents.is_photograph) as is_photograph,
        bool_or(contents.is_silver) as is_silver,
        bool_or(contents.is_ph_sensitive) as is_ph_sensitive
    from volume_words
    join policy.contents using (content_word)
    where contents.is_known_content
    group by volume_words.volume_id
),
hazard_needs as (
    select
        volume_id,
        group_no,
        bool_or(hazard = 'facing_photographs') as has_facing_photographs,
        bool_or(hazard = 'tacky_adhesive') as has_tacky_adhesive,
        bool_or(hazard in ('fastener', 'raised_attachment')) as has_hard_parts,
        bool_or(mechanism = 'staining') as has_staining,
        bool_or(mechanism = 'staining' and severity_grade >= (
            select value from policy.figures where key = 'paper.adsorbent_staining_severity_grade'
        )) as has_severe_staining
    from work.hazard_rates
    group by volume_id, group_no
)
select
    opening_groups.volume_id,
    opening_groups.group_no,
    coalesce(
        text_needs.is_photograph
        or hazard_needs.has_facing_photographs
        or (text_needs.is_unknown and coalesce(volume_needs.is_photograph, true)),
        false
    ) as needs_pat,
    text_needs.is_silver or (text_needs.is_unknown and coalesce(volume_needs.is_silver, false))
        as needs_sulphur_free,
    text_needs.is_ph_sensitive or (text_needs.is_unknown and coalesce(volume_needs.is_ph_sensitive, false))
        as needs_unbuffered,
    hazard_needs.has_tacky_adhesive as needs_release,
    volumes.odour or hazard_needs.has_severe_staining as allows_adsorbent,
    hazard_needs.has_staining,
    hazard_needs.has_hard_parts or volumes.leaf_condition = 'brittle' as needs_care,
    text_needs.is_unknown and volume_needs.volume_id is null as is_content_guessed
from work.opening_groups
join clean.volumes using (volume_id)
join text_needs on text_needs.content = opening_groups.left_content || ', ' || opening_groups.right_content
join hazard_needs using (volume_id, group_no)
left join volume_needs using (volume_id)
