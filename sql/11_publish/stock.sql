-- One row per stock line.
select
    stock_id, paper_id, form, width_mm, length_mm, grain, pack_quantity, pack_price, lead_days, on_hand, trim_mm
from clean.stock
