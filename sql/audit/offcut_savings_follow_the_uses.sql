-- rule: What off-cuts spare is valued at the price of its stock, and stands only where leaves are cut from off-cuts.
-- The list of uses is that of the patterns cut from off-cuts: which off-cuts, which size, how many pieces.
with used as (
    select paper_id, count(*) as uses from published.offcut_uses group by paper_id
),
savings as (
    select
        offcut_savings.stock_id as subject,
        printf(
            'stock %s: %.4f of paper %s spared at %.4f is stated, its price gives %.4f; %d uses of its off-cuts',
            offcut_savings.stock_id, spared_quantity, offcut_savings.paper_id, spared_cost,
            coalesce(spared_quantity * stock.pack_price / stock.pack_quantity, 0),
            coalesce(used.uses, 0)
        ) as what,
        spared_quantity > 0
            and abs(spared_cost - spared_quantity * stock.pack_price / stock.pack_quantity) <= 1e-6
            and stock.paper_id = offcut_savings.paper_id
            and used.uses > 0 as holds
    from published.offcut_savings
    left join published.stock using (stock_id)
    left join used on used.paper_id = offcut_savings.paper_id
),
pieces as (
    select
        patterns.pattern_id,
        pattern_pieces.cut_size_id,
        patterns.from_offcut_of,
        patterns.stock_id,
        patterns.sheets,
        patterns.sheet_width_mm,
        patterns.sheet_length_mm,
        count(*) * any_value(patterns.sheets) as pieces
    from published.patterns
    join published.pattern_pieces using (pattern_id)
    where patterns.from_offcut_of is not null
    group by all
),
uses as (
    select
        pattern_id as subject,
        printf(
            'pattern %s, size %s: %d pieces from %d off-cuts of pattern %s are stated, %d from %d of %s are cut',
            pattern_id, cut_size_id, coalesce(uses.pieces_count, 0), coalesce(uses.offcuts_count, 0),
            coalesce(uses.from_offcut_of, '(none)'), coalesce(pieces.pieces, 0)::bigint,
            coalesce(pieces.sheets, 0)::bigint, coalesce(pieces.from_offcut_of, '(none)')
        ) as what,
        coalesce(
            uses.pieces_count = pieces.pieces
                and uses.offcuts_count = pieces.sheets
                and uses.from_offcut_of = pieces.from_offcut_of
                and uses.stock_id = pieces.stock_id
                and abs(uses.along_width_mm - pieces.sheet_width_mm) <= 1e-6
                and abs(uses.along_length_mm - pieces.sheet_length_mm) <= 1e-6,
            false
        ) as holds
    from published.offcut_uses as uses
    full join pieces using (pattern_id, cut_size_id)
)
select subject, what from savings where not coalesce(holds, false)
union all
select subject, what from uses where not holds
