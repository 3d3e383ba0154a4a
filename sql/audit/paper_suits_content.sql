-- rule: Photographs get paper with a passed PAT, silver prints paper free of sulphur, pH-sensitive content no buffer.
-- Both pages of an opening together; where a page is unknown, the whole volume's known content; where nothing is
-- known of the volume, photographs are taken to be possible. Source: trade model, section 4.
with flags as (
    select
        split_part(key, '.', 2) as content_word,
        max(value) filter (key like '%.is_photograph') > 0 as is_photograph,
        max(value) filter (key like '%.is_silver') > 0 as is_silver,
        max(value) filter (key like '%.is_ph_sensitive') > 0 as is_ph_sensitive
    from published.policy
    where key like 'content.%'
    group by split_part(key, '.', 2)
),
group_words as (
    select
        volume_id,
        group_no,
        unnest(string_split(left_content || ', ' || right_content, ', ')) as content_word
    from published.opening_groups
),
volume_words as (
    select volume_id, content_word
    from group_words
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
    from group_words
    union
    select group_words.volume_id, group_words.group_no, known_words.content_word
    from group_words
    join known_words using (volume_id)
    where group_words.content_word = 'unknown'
),
needs as (
    select
        asking_words.volume_id,
        asking_words.group_no,
        coalesce(bool_or(flags.is_photograph), false) as has_photograph,
        coalesce(bool_or(flags.is_silver), false) as has_silver,
        coalesce(bool_or(flags.is_ph_sensitive), false) as has_ph_sensitive,
        bool_or(asking_words.content_word = 'unknown') and any_value(known.volume_id) is null as is_guessed
    from asking_words
    left join flags using (content_word)
    left join (select distinct volume_id from known_words) as known using (volume_id)
    group by asking_words.volume_id, asking_words.group_no
),
judged as (
    select
        interleaves.volume_id,
        interleaves.group_no,
        interleaves.paper_id,
        concat_ws(
            '; ',
            case when (
                needs.has_photograph
                or needs.is_guessed
                or list_contains(string_split(opening_groups.hazards, ', '), 'facing_photographs')
            ) and papers.pat <> 'pass'
                then 'photographs may lie there, its activity test says ' || papers.pat end,
            case when needs.has_silver and papers.sulphur_free <> 'yes'
                then 'silver prints lie there, free of sulphur: ' || papers.sulphur_free end,
            case when needs.has_ph_sensitive and papers.buffer <> 'unbuffered'
                then 'pH-sensitive content lies there, it is ' || papers.buffer end
        ) as faults
    from published.interleaves
    join published.opening_groups using (volume_id, group_no)
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
