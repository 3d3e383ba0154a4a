-- One row per stock enclosure.
select
    enclosure_id, inner_width_mm, inner_height_mm, inner_depth_mm, price, on_hand, lead_days, max_slack_mm, max_depth_slack_mm
from clean.enclosure_stock
