-- One row for all dated work, one per rate with work and one per person with work: when the work ends, with which
-- chance, and how far the rate or the person moves the end. Reads work.finish_chances.
select
    chance_of, subject, decides_no, tries_count, hours, in_time_pct, planned_date, even_chance_date,
    nine_in_ten_date, low_date, high_date, moved_days, last_pct, words
from work.finish_chances
