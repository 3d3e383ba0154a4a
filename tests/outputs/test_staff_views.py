"""What people and managers get: calendars by the standard, a list per person, the load, dates, a budget."""

import re
import zipfile
from datetime import date, datetime, timedelta
from pathlib import Path

import openpyxl
import pytest

from pipeline.outputs.calendars import person_calendar, stretches
from pipeline.outputs.finish import chance_sentence
from pipeline.outputs.load_picture import ALL_PEOPLE, MOST_PANELS, load_panels, load_picture, load_words
from pipeline.outputs.plan import Plan, Row
from tests.outputs.fake_data import STAFF
from tests.outputs.fake_plan import fake_frames, fake_store

PEOPLE = [who for who, *_ in STAFF]
MADE = datetime(2027, 3, 1, 8, 30)


def part(start: datetime, minutes: int, kind: str = "check", **more: object) -> Row:
    row: Row = {
        "staff_id": "t1",
        "day": start.date(),
        "start_at": start,
        "finish_at": start + timedelta(minutes=minutes),
        "kind": kind,
        "volume_id": "V-1",
        "pattern_id": None,
        "title": None,
        "location": None,
        "sheets": None,
        "goes_on": False,
    }
    return row | more


def events(text: str) -> list[dict[str, str]]:
    """Events by property, lines unfolded; read without the library that wrote them."""
    unfolded = text.replace("\r\n ", "")
    return [
        dict(line.split(":", 1) for line in block.split("\r\n") if line)
        for block in re.findall(r"BEGIN:VEVENT\r\n(.*?\r\n)END:VEVENT\r\n", unfolded, re.DOTALL)
    ]


def calendar_text(rows: list[Row], *, made: datetime = MADE, campaign: str = "") -> str:
    with fake_store() as store:
        facts = Plan(store).facts
    if campaign:
        facts = type(facts)(**(vars(facts) | {"campaign_name": campaign}))
    return person_calendar(facts, "t1", rows, made).to_ical().decode()


def test_calendars_keep_the_standards_lines(folder: Path) -> None:
    """RFC 5545: lines end in CRLF and have at most 75 octets; blocks are closed; needed properties are there."""
    for who in PEOPLE:
        raw = (folder / "calendars" / f"{who}.ics").read_bytes()
        assert raw.endswith(b"END:VCALENDAR\r\n")
        assert raw.count(b"\n") == raw.count(b"\r\n")
        assert max(len(line) for line in raw.split(b"\r\n")) <= 75
        text = raw.decode()
        assert text.startswith("BEGIN:VCALENDAR\r\n")
        assert text.count("BEGIN:VEVENT") == text.count("END:VEVENT") > 0
        assert "VERSION:2.0\r\n" in text
        assert "PRODID:" in text
        for event in events(text):
            assert {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION"} <= set(event)
            assert event["DTSTAMP"] == "20270301T083000Z"
            assert re.fullmatch(r"\d{8}T\d{6}", event["DTSTART"])  # floating: neither Z nor a zone
            assert event["DTSTART"] < event["DTEND"]


def test_calendars_hold_the_planned_hours(folder: Path) -> None:
    with fake_store() as store:
        tasks = Plan(store).table("tasks")
    for who in PEOPLE:
        found = events((folder / "calendars" / f"{who}.ics").read_bytes().decode())
        spans = [datetime.fromisoformat(e["DTEND"]) - datetime.fromisoformat(e["DTSTART"]) for e in found]
        planned = sum(task["hours"] for task in tasks if task["staff_id"] == who)
        # to the second
        assert sum(spans, timedelta()) / timedelta(hours=1) == pytest.approx(planned, abs=0.02)
        assert len({event["UID"] for event in found}) == len(found)


def test_work_in_a_row_is_one_event_and_a_gap_or_a_night_parts_it() -> None:
    nine = datetime(2027, 3, 1, 9)
    rows = [part(nine, 30), part(nine + timedelta(minutes=30), 10), part(nine + timedelta(hours=2), 5)]
    rows.append(part(nine + timedelta(days=1), 5))
    assert [len(stretch) for stretch in stretches(rows)] == [2, 1, 1]
    found = events(calendar_text(rows))
    assert [(event["DTSTART"], event["DTEND"]) for event in found] == [
        ("20270301T090000", "20270301T094000"),
        ("20270301T110000", "20270301T110500"),
        ("20270302T090000", "20270302T090500"),
    ]


def test_an_event_is_known_again_in_a_later_plan() -> None:
    rows = [part(datetime(2027, 3, 1, 9), 30)]
    first, later = events(calendar_text(rows))[0], events(calendar_text(rows, made=datetime(2027, 4, 1)))[0]
    other = events(calendar_text([part(datetime(2027, 3, 2, 9), 30)]))[0]
    assert first["UID"] == later["UID"] != other["UID"]
    assert first["DTSTAMP"] != later["DTSTAMP"]


def test_text_is_escaped_and_cannot_make_lines_of_its_own() -> None:
    title = "Tea, cake; a \\ and\r\nEND:VEVENT\nß" + "é" * 80
    text = calendar_text(
        [part(datetime(2027, 3, 1, 9), 30, "fetch", title=title, location="Bay 1; left")], campaign="A, B; C"
    )
    assert text.count("END:VEVENT") == text.replace("\\nEND:VEVENT", "").count("END:VEVENT") + 1 == 2
    found = events(text)[0]["DESCRIPTION"]
    assert "Tea\\, cake\\; a \\\\ and\\nEND:VEVENT\\n" in found
    assert "é" * 80 in found
    assert "Bay 1\\; left" in found
    assert "X-WR-CALNAME:A\\, B\\; C: t1" in text
    assert max(len(line) for line in text.encode().split(b"\r\n")) <= 75


def test_a_person_without_work_has_a_calendar_without_events() -> None:
    assert events(calendar_text([])) == []


def test_each_person_has_a_list_week_by_week(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "work_orders.xlsx")
    with fake_store() as store:
        tasks = Plan(store).table("tasks")
    for who in PEOPLE:
        sheet = book[f"List {who}"]
        rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)]
        assert {row[10] for row in rows} == {task["task_id"] for task in tasks if task["staff_id"] == who}
        assert rows == sorted(rows, key=lambda row: (row[1], row[2]))
        weeks = [row[0] for row in rows]
        changes = [number for number, week in enumerate(weeks[1:], start=2) if week != weeks[number - 2]]
        assert [mark.id for mark in sheet.row_breaks.brk] == changes
        assert sheet.cell(2, 6).hyperlink is not None


def test_a_task_that_runs_on_over_days_stands_on_each() -> None:
    frames = fake_frames()
    tasks = frames["published.tasks"].to_dicts()
    start = datetime(2027, 5, 3, 19)
    tasks.append(
        tasks[-1]
        | {
            "task_id": "long",
            "kind": "check",
            "staff_id": "k1",
            "hours": 2.0,
            "start_at": start,
            "finish_at": datetime(2027, 5, 4, 10),
        }
    )
    days = frames["published.staff_days"].to_dicts() + [
        {
            "staff_id": "k1",
            "day": day,
            "start_at": datetime(2027, 5, day.day, 9),
            "finish_at": datetime(2027, 5, day.day, 20),
        }
        for day in (date(2027, 5, 3), date(2027, 5, 4))
    ]
    changes = {
        "published.tasks": type(frames["published.tasks"])(tasks, schema=frames["published.tasks"].schema),
        "published.staff_days": type(frames["published.tasks"])(
            days, schema=frames["published.staff_days"].schema
        ),
    }
    with fake_store(changes) as store:
        rows = [row for row in Plan(store).query("staff_day_tasks") if row["task_id"] == "long"]
    assert [(row["day"], row["hours"], row["is_going_on"], row["goes_on"]) for row in rows] == [
        (date(2027, 5, 3), 1.0, False, True),
        (date(2027, 5, 4), 1.0, True, False),
    ]


def test_the_load_has_all_people_first_and_the_busiest() -> None:
    with fake_store() as store:
        rows = Plan(store).query("load_weeks")
        weeks = Plan(store).table("staff_weeks")
    panels = load_panels(rows)
    assert [name for name, _ in panels] == [ALL_PEOPLE, *sorted(PEOPLE)][:MOST_PANELS]
    for week in panels[0][1]:
        own = [row for row in weeks if row["week_start"] == week["week_start"]]
        assert week["hours_planned"] == pytest.approx(sum(row["hours_planned"] for row in own))
        assert week["hours_available"] == pytest.approx(sum(row["hours_available"] for row in own))
    assert load_words(panels).startswith("Bars of hours planned")
    assert load_picture(panels) == load_picture(panels)
    assert load_panels([]) == []


def test_the_lab_sees_people_in_the_chances_and_the_funder_does_not(folder: Path) -> None:
    lab = _sheet_text(folder / "work_orders.xlsx", "How sure the dates are")
    funder = _sheet_text(folder / "funder_report.xlsx", "How sure the dates are")
    assert "87 chances in 100" in lab
    assert "87 chances in 100" in funder
    assert "Interleaving, each sheet: 12 days apart." in funder
    assert "t1: 9 days apart." in lab
    assert "days apart" in funder
    assert "9 days apart" not in funder
    assert chance_sentence([]) == ""


def test_no_name_and_no_rate_reaches_the_funder(folder: Path) -> None:
    """Neither in any cell of the workbook nor in the document, whatever sheet it stands on."""
    rates = {f"{rate:g}" for *_, rate in STAFF if rate and rate % 1}  # a round figure may be another's
    book = openpyxl.load_workbook(folder / "funder_report.xlsx")
    cells = {
        str(cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }
    with zipfile.ZipFile(folder / "funder_report.docx") as package:
        text = re.sub(r"<[^>]+>", "\n", package.read("word/document.xml").decode())
    words = {word.strip(".,;:()") for value in (*cells, text) for word in value.split()}
    assert not words & {*PEOPLE, *rates}
    assert "87" in words  # the chances are there all the same


def test_the_budget_adds_up_as_it_is_printed(folder: Path) -> None:
    sheet = openpyxl.load_workbook(folder / "funder_report.xlsx")["Budget"]
    costs = {row[1].value: row[2].value for row in sheet.iter_rows(min_row=2)}
    assert next(iter(costs)) == "Personnel"
    assert len(costs) == 11
    parts = [
        cost for name, cost in costs.items() if not name.startswith("Total") and name != "Indirect costs"
    ]
    assert f"{sum(parts):.2f}" == f"{costs['Total direct costs']:.2f}"
    assert f"{costs['Total direct costs'] + costs['Indirect costs']:.2f}" == f"{costs['Total']:.2f}"


def _sheet_text(path: Path, name: str) -> str:
    sheet = openpyxl.load_workbook(path)[name]
    return "\n".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None)
