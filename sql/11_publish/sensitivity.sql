-- One row per judgement group and direction, and per volume for all figures drawn; empty unless asked for.
-- Reads work.sensitivity.
select
    judgement, direction, volume_id, draws_count, state, kept_pct, rank_no, low_rank_no, high_rank_no,
    moved_ranks_count, benefit, low_benefit, high_benefit
from work.sensitivity
