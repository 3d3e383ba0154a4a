"""Tables that say how sure the dates are, and when people work."""

from pipeline.contracts.table import Table

TASK_RATES = Table(
    "work.task_rates",
    "One row per task and rate it takes its minutes from: likely minutes, before the task is rounded up.",
    ("task_id", "task"),
    ("task_id", "task", "minutes"),
)
FINISH_CHANCE_COLUMNS = (
    "chance_of",
    "subject?",
    "decides_no?",
    "tries_count",
    "hours",
    "in_time_pct",
    "planned_date?",
    "even_chance_date?",
    "nine_in_ten_date?",
    "low_date?",
    "high_date?",
    "moved_days?",
    "last_pct?",
    "words",
)
FINISH_CHANCES_DOC = (
    "One row for all dated work (campaign), one per rate with work (task) and per person with work: when it ends, "
    "with which chance, and how far it moves the end of all work. No row where nothing is dated."
)
FINISH_CHANCES = Table(
    "work.finish_chances", FINISH_CHANCES_DOC, ("chance_of", "subject"), FINISH_CHANCE_COLUMNS
)

TABLES = (TASK_RATES, FINISH_CHANCES)
