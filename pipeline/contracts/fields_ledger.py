"""Register of columns, third part: what comes back from the bench, and what it teaches (stage 12)."""

from pipeline.contracts.field import day, flag, moment, number, text, whole
from pipeline.words import PROGRESS

LEDGER_FIELDS = (
    # the ledger
    text("line_id", "line of the ledger: return and line in it, such as 0003-0012"),
    whole("return_no", "number of the return in the ledger", 1),
    text("return_sha256", "hash of the returned file"),
    text("file_name", "name of the returned file"),
    day("finish_date", "day the last task was to end"),
    moment("recorded_at", "when the return was taken into the ledger"),
    text("supersedes", "lines that this one takes the place of, a list; blank for none"),
    text("progress", "how far the task is", *PROGRESS),
    day("done_on", "day the work was done"),
    text(
        "used_by_paper",
        "leaves of each paper that lie in the volume, a list such as P-1: 20, P-2: 3; blank for none",
    ),
    whole("used_sheets_count", "leaves that lie in the volume, or parent sheets cut well"),
    whole("spoiled_sheets_count", "leaves or parent sheets spoiled"),
    number("fore_edge_measured_mm", "fore edge as measured after the work"),
    flag(
        "is_cleared",
        "a row says that the old leaves are out of a volume that is not finished; blank: it does not say",
    ),
    flag(
        "is_boxed",
        "a row says that the new enclosure of a volume that is not finished is on; blank: it does not say",
    ),
    # the plan a line answers
    whole("sheets_planned", "sheets the task was planned with"),
    number("minutes_planned", "minutes the task was planned with"),
    number("minutes_taken", "minutes that laying in, or cutting, took"),
    number(
        "other_minutes", "minutes that fetching, taking out, checking, boxing and returning took together"
    ),
    flag("is_whole", "the task is done to its end"),
    # what the lines come to
    whole("laid_sheets_count", "leaves that lie in the volume already"),
    whole("laid_um", "thickness of the leaves that lie in the volume already"),
    whole("ready_leaves_count", "leaves of this size cut before and not yet used"),
    number("hours_taken", "hours the work took"),
    text("month", "month as year and number, such as 2027-03"),
    # orders and deliveries
    day("ordered_on", "day the supply was ordered"),
    day("arrives_on", "day the supply arrives"),
    number("ordered_count", "sheets, rolls or enclosures"),
    number("fore_edge_limit_mm", "fore edge at which the wedge limit is reached"),
    # what is learned
    text(
        "subject",
        "what a rate, a change or a chance is about: task, person, volume, collection; blank for all",
    ),
    text("subject_id", "which one it is about; blank for all"),
    text("volume_class", "class of volumes a rate holds for; blank for all"),
    whole("tasks_count", "tasks the estimate rests on"),
    number("starting_value", "figure before any return", None),
    number("learned_value", "estimate from the returns, drawn towards the starting figure", None),
    number("low_value", "lower end of the interval", None),
    number("high_value", "upper end of the interval", None),
    flag("is_used", "the plan is made with this estimate"),
    # what changed between revisions
    whole("change_no", "number of the change", 1),
    text("what", "what changed"),
    text("before", "how it was"),
    text("after", "how it is"),
    text("why", "why it changed"),
)
