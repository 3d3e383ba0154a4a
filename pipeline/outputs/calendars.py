"""A calendar file per person (RFC 5545): one event for each stretch of work without a gap.

Times are local and name no zone, as the plan's are: whoever opens the file sees them at the lab's own clock. An
event keeps its identity from one plan of a campaign to the next, so that a calendar that takes in a newer file
changes events instead of doubling them.
"""

import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from uuid import NAMESPACE_DNS, uuid5

from icalendar import Calendar, Event, vText

from pipeline.outputs.plan import Plan, PlanFacts, Row, rows_by
from pipeline.outputs.text import clean_text, file_stem
from pipeline.outputs.wording import KIND_WORDS, plural

PRODUCT = "-//guardleaf//work calendar//EN"
NAMESPACE = uuid5(NAMESPACE_DNS, "guardleaf.invalid")
"""A name of our own, of the kind that is never registered (RFC 2606)."""
LOCAL_TIMES = "Local times of the lab; no time zone is stated."


def write_calendars(folder: Path, plan: Plan) -> None:
    """Write a calendar for each person of the plan, without events where they have no dated work."""
    folder.mkdir(parents=True, exist_ok=True)
    work = rows_by(plan.query("staff_day_tasks"), "staff_id")
    made = plan.table("run")[0]["planned_at"]
    used: set[str] = set()
    for person in plan.table("staff"):
        staff_id = person["staff_id"]
        calendar = person_calendar(plan.facts, staff_id, work.get(staff_id, []), made)
        (folder / f"{file_stem(staff_id, used)}.ics").write_bytes(calendar.to_ical())


def person_calendar(facts: PlanFacts, staff_id: str, rows: Sequence[Row], made: datetime) -> Calendar:
    """One person's calendar. `rows`: their parts of tasks by day, in order of time."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    name = clean_text(f"{facts.campaign_name or 'Interleaving'}: {staff_id}")
    for key in ("name", "x-wr-calname"):  # the standard's name of a calendar, and the one most programs read
        calendar.add(key, vText(name))
    calendar.add("description", LOCAL_TIMES)
    number, day = 0, None
    for stretch in stretches(rows):
        number = number + 1 if stretch[0]["day"] == day else 1
        day = stretch[0]["day"]
        calendar.add_component(_event(facts, stretch, f"{staff_id}/{day.isoformat()}/{number}", made))
    return calendar


def stretches(rows: Sequence[Row]) -> Iterator[list[Row]]:
    """Parts of tasks in a row without a gap, within one day."""
    found: list[Row] = []
    for row in rows:
        if found and (row["day"] != found[-1]["day"] or row["start_at"] != found[-1]["finish_at"]):
            yield found
            found = []
        found.append(row)
    if found:
        yield found


def _event(facts: PlanFacts, stretch: Sequence[Row], key: str, made: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE, f'{facts.campaign_name}/{key}')}")
    # the standard asks for a moment in UTC; of one plan to the next only the order matters
    event.add("dtstamp", made.replace(tzinfo=UTC))
    event.add("sequence", _sequence(facts.revision))
    event.add("dtstart", stretch[0]["start_at"])
    event.add("dtend", stretch[-1]["finish_at"])
    event.add("summary", clean_text(_summary(stretch)))
    event.add("description", clean_text("\n".join(_line(row) for row in stretch)))
    return event


def _sequence(revision: str) -> int:
    """0 for the first revision of a plan, one more for each after it."""
    found = re.search(r"\d+", revision)
    return max(0, int(found.group()) - 1) if found else 0


def _summary(stretch: Sequence[Row]) -> str:
    kinds = dict.fromkeys(KIND_WORDS[row["kind"]] for row in stretch)
    volumes = {row["volume_id"] for row in stretch if row["volume_id"]}
    words = ", ".join(kinds)
    return f"{words} ({plural(len(volumes), 'volume')})" if volumes else words


def _line(row: Row) -> str:
    what = row["volume_id"] or f"pattern {row['pattern_id']}"
    where = f" [{row['location']}]" if row["location"] and row["kind"] in ("fetch", "return") else ""
    title = f", {row['title']}" if row["title"] else ""
    sheets = f", {plural(row['sheets'], 'sheet')}" if row["sheets"] else ""
    more = " (goes on the next working day)" if row["goes_on"] else ""
    times = f"{row['start_at']:%H:%M}-{row['finish_at']:%H:%M}"
    return f"{times} {KIND_WORDS[row['kind']]}: {what}{title}{sheets}{where}{more}"
