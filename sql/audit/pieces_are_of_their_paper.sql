-- rule: Every piece belongs to a cut size of the paper it is cut from.
select
    pattern_pieces.pattern_id,
    pattern_pieces.piece_no,
    printf(
        'pattern %s piece %d: size %s is %s, the stock is %s',
        pattern_pieces.pattern_id, pattern_pieces.piece_no, pattern_pieces.cut_size_id,
        coalesce(cut_sizes.paper_id, 'not a size'), coalesce(stock.paper_id, 'not in stock')
    ) as what
from published.pattern_pieces
left join published.cut_sizes using (cut_size_id)
left join published.patterns using (pattern_id)
left join published.stock using (stock_id)
where cut_sizes.paper_id is distinct from stock.paper_id
