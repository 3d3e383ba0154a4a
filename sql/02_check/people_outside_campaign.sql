-- One row per absence or person wholly outside the campaign's dates. Reads clean.absences, clean.staff, clean.campaign,
-- work.named_ids, raw.sheets.
with dated as (
    select 'staff_id' as id_field, row_no, "from", "until", true as is_person from clean.staff
    union all by name
    select 'staff_id' as id_field, row_no, "from", "until", false as is_person from clean.absences
)
select
    case when is_person then 'person_outside_campaign' else 'absence_outside_campaign' end as code,
    case when is_person then 'warning' else 'note' end as level,
    case when is_person then 'Staff' else 'Absences' end as sheet,
    row_no,
    case when "from" > end_date then 'from' else 'until' end as field,
    '' as volume_id,
    case when is_person then 'the person works only ' else 'the absence lies ' end
        || case when "from" > end_date then 'after the campaign ends on ' || end_date
            else 'before the campaign starts on ' || start_date end as message,
    'check the dates' as action
from dated
cross join clean.campaign
where "from" > end_date or "until" < start_date
