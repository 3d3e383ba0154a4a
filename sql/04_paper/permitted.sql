-- One row per group and paper: may the paper lie there, and if not, every property that is missing.
-- The hard rules of the trade model, section 4, the handling limit included; buffered before unbuffered is a
-- preference and no rule. Reads work.group_needs, work.stock_reach, work.paper_properties, clean.*, policy.figures.
with figures as (
    select
        max(value) filter (key = 'paper.least_ph') as least_ph,
        max(value) filter (key = 'paper.bending_per_width_frac') as bending_frac,
        max(value) filter (key = 'paper.bending_per_width_careful_frac') as bending_careful_frac
    from policy.figures
),
asked as (
    select
        group_needs.*,
        volumes.buffer_rule,
        volumes.page_width_mm,
        volumes.page_height_mm,
        volumes.page_width_mm * case when needs_care then bending_careful_frac else bending_frac end
            as least_bending_length_mm
    from work.group_needs
    join clean.volumes using (volume_id)
    cross join figures
),
judged as (
    select
        asked.volume_id,
        asked.group_no,
        papers.paper_id,
        concat_ws(
            '; ',
            case when not papers.lignin_free then 'not lignin-free' end,
            case when papers.ph < least_ph then 'pH ' || papers.ph || ' is below ' || least_ph end,
            case when papers.glassine then 'glassine' end,
            case when papers.adsorbent and not asked.allows_adsorbent
                then 'adsorbent paper is kept for odour and severe staining' end,
            case when asked.needs_pat and papers.pat <> 'pass'
                then 'no passed photographic activity test (' || papers.pat || ')' end,
            case when asked.needs_sulphur_free and papers.sulphur_free <> 'yes'
                then 'not known to be free of reducible sulphur (' || papers.sulphur_free || ')' end,
            case when asked.needs_unbuffered and papers.buffer <> 'unbuffered'
                then 'buffered, beside pH-sensitive content' end,
            case when asked.needs_release and papers.surface <> 'release'
                then 'no release surface for tacky adhesive' end,
            case when asked.buffer_rule = 'buffered_only' and papers.buffer <> 'buffered'
                then 'the surveyor asks for buffered paper only' end,
            case when asked.buffer_rule = 'unbuffered_only' and papers.buffer <> 'unbuffered'
                then 'the surveyor asks for unbuffered paper only' end,
            case when paper_properties.bending_length_mm < asked.least_bending_length_mm
                then printf(
                    'too limp: bending length %.1f mm, the page asks for %.1f mm',
                    paper_properties.bending_length_mm, asked.least_bending_length_mm
                ) end,
            case when not stock_reach.is_reached
                then printf(
                    'no stock of it gives a leaf for a page of %.1f x %.1f mm',
                    asked.page_width_mm, asked.page_height_mm
                ) end
        ) as missing
    from asked
    cross join clean.papers
    cross join figures
    join work.paper_properties using (paper_id)
    join work.stock_reach
        on stock_reach.volume_id = asked.volume_id and stock_reach.paper_id = papers.paper_id
)
select volume_id, group_no, paper_id, missing = '' as is_permitted, missing from judged
