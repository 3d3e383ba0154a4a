"""The inventory's sheets and columns as people fill them in: one definition for reading, checking, the blank
template and the data dictionary. Meaning, words and bounds come from the register unless said here.
"""

from collections.abc import Iterable, Iterator

from pipeline.contracts.fields import CONTENT_WORDS, HAZARDS, RATE_TASKS
from pipeline.contracts.input_sheet import InputColumn, InputSheet

DEFAULT_WORKING_DAYS = "Mon, Tue, Wed, Thu, Fri"
SURVEY_PREFIX = "openings_"
"""A Volumes column that begins so holds the count of openings with the hazard that follows."""


def _id(name: str, *, required: bool = True) -> InputColumn:
    return InputColumn(name=name, kind="id", required=required)


def _text(name: str, *, required: bool = False, default: str | None = None) -> InputColumn:
    return InputColumn(name=name, kind="text", required=required, default=default)


def _length(  # noqa: PLR0913  # a definition, all by name
    name: str,
    *,
    required: bool = False,
    default: float | None = None,
    most: str = "check.most_page_mm",
    default_key: str = "",
    is_positive: bool = True,
) -> InputColumn:
    return InputColumn(
        name=name,
        kind="length",
        required=required,
        default=default,
        default_key=default_key,
        is_positive=is_positive,
        most=most,
    )


def _word(name: str, *, required: bool = False, default: str | None = None) -> InputColumn:
    return InputColumn(name=name, kind="word", required=required, default=default)


def _yes_no(name: str, *, required: bool = False, default: bool | None = None) -> InputColumn:
    return InputColumn(name=name, kind="yes_no", required=required, default=default)


def survey_column(hazard: str) -> InputColumn:
    """The quick-survey count column of a hazard, a custom one included."""
    return InputColumn(
        name=f"{SURVEY_PREFIX}{hazard}",
        kind="whole",
        most="check.most_leaves_count",
        meaning=f"number of openings with {hazard}, places not noted",
    )


CAMPAIGN = InputSheet(
    name="Campaign",
    row_is="one setting",
    required=True,
    columns=(
        InputColumn(name="name", kind="text", required=True, meaning="name of the campaign"),
        InputColumn(name="start_date", kind="date", required=True),
        InputColumn(name="end_date", kind="date", required=True),
        InputColumn(name="length_unit", kind="word", default="mm"),
        _text("currency", default=""),
        InputColumn(name="supplies_budget", kind="number", most="check.most_amount_price"),
        InputColumn(name="staff_budget", kind="number", most="check.most_amount_price"),
        InputColumn(name="spares_pct", kind="number", default_key="cut.spares_pct"),
        InputColumn(
            name="horizon_years",
            kind="number",
            default_key="risk.horizon_years",
            is_positive=True,
            most="check.most_horizon_years",
        ),
        InputColumn(name="working_days", kind="days", default=DEFAULT_WORKING_DAYS),
        InputColumn(
            name="max_sizes_per_sheet",
            kind="whole",
            default_key="cut.max_sizes_per_sheet_count",
            most="check.most_sizes_per_sheet_count",
        ),
        _length("guillotine_max_cut", default_key="cut.guillotine_max_cut_mm"),
        _length("guillotine_max_lift", default_key="cut.guillotine_max_lift_mm"),
        _text("handling_note"),
        _text("country"),
        InputColumn(name="page_size", kind="word", default="A4"),
        InputColumn(name="contingency_pct", kind="number", default=0.0),
        InputColumn(name="indirect_pct", kind="number", default=0.0),
    ),
)
VOLUMES = InputSheet(
    name="Volumes",
    row_is="one volume",
    required=True,
    key="volume_id",
    columns=(
        _id("volume_id"),
        _text("collection", required=True),
        _text("title"),
        _text("location"),
        _length("page_width", required=True),
        _length("page_height", required=True),
        InputColumn(name="leaves", kind="whole", required=True, most="check.most_leaves_count"),
        _word("binding", required=True),
        _word("joints", required=True),
        _word("leaf_condition", default="sound"),
        _length("spine_thickness", required=True, most="check.most_volume_thickness_mm"),
        _length("fore_edge_thickness", required=True, most="check.most_volume_thickness_mm"),
        _length("extension", default=0.0, most="check.most_volume_thickness_mm", is_positive=False),
        _word("use", default="occasional"),
        InputColumn(name="significance", kind="whole", default=3.0),
        _yes_no("odour", default=False),
        _word("hold"),
        _word("buffer_rule"),
        InputColumn(name="contents", kind="contents"),
        InputColumn(name="existing_leaves", kind="whole", default=0.0, most="check.most_leaves_count"),
        InputColumn(
            name="existing_leaf_thickness_um",
            kind="thickness",
            default=0.0,
            most="check.most_paper_thickness_um",
        ),
        _word("skill", default="technician"),
        _word("enclosure", default="new"),
        _length("cover_width"),
        _length("cover_height"),
        _length("boards_thickness", most="check.most_volume_thickness_mm"),
        _text("shelf_order"),
        _id("stratum", required=False),
        *(survey_column(hazard) for hazard in HAZARDS),
    ),
)
OPENINGS = InputSheet(
    name="Openings",
    row_is="openings of one volume that are alike",
    columns=(
        _id("volume_id"),
        InputColumn(name="openings", kind="openings"),
        InputColumn(
            name="count",
            kind="whole",
            is_positive=True,
            most="check.most_leaves_count",
            meaning="number of openings; needed when openings is blank",
        ),
        InputColumn(
            name="left", kind="contents", meaning="what is on the left page: content words; empty = unknown"
        ),
        InputColumn(
            name="right", kind="contents", meaning="what is on the right page: content words; empty = unknown"
        ),
        InputColumn(name="hazards", kind="hazards", required=True),
        InputColumn(
            name="severity",
            kind="whole",
            default=2.0,
            is_positive=True,
            at_most=3,
            meaning="severity of the hazards of this row: 1 slight, 2 plain, 3 severe",
        ),
        _text("note"),
    ),
)
PAPERS = InputSheet(
    name="Papers",
    row_is="one paper",
    required=True,
    starter="starter_paper",
    key="paper_id",
    columns=(
        _id("paper_id"),
        _text("description"),
        _word("buffer", required=True),
        _yes_no("adsorbent", default=False),
        _word("pat", required=True),
        _word("sulphur_free", default="unknown"),
        _yes_no("lignin_free", required=True),
        InputColumn(name="ph", kind="number", required=True),
        _word("surface", default="plain"),
        _yes_no("glassine", default=False),
        InputColumn(
            name="grammage_gsm",
            kind="number",
            required=True,
            is_positive=True,
            most="check.most_grammage_gsm",
        ),
        InputColumn(
            name="thickness_um",
            kind="thickness",
            required=True,
            is_positive=True,
            least="check.least_paper_thickness_um",
            most="check.most_paper_thickness_um",
            meaning="single-sheet thickness (ISO 534), um",
        ),
        InputColumn(
            name="bulking_thickness_um",
            kind="thickness",
            is_positive=True,
            least="check.least_paper_thickness_um",
            most="check.most_paper_thickness_um",
        ),
        InputColumn(
            name="bending_stiffness_mnm",
            kind="number",
            is_positive=True,
            most="check.most_bending_stiffness_mnm",
        ),
        _word("grain_rule", default="require"),
    ),
)
STOCK = InputSheet(
    name="Stock",
    row_is="one size of a paper as sold, sheets or rolls",
    required=True,
    starter="starter_stock",
    key="stock_id",
    columns=(
        _id("stock_id"),
        _id("paper_id"),
        _word("form", required=True),
        _length("width", required=True),
        _length("length", required=True, most="check.most_roll_length_mm"),
        _word("grain", required=True),
        InputColumn(name="pack_quantity", kind="whole", required=True, most="check.most_stock_count"),
        InputColumn(name="pack_price", kind="number", required=True, most="check.most_amount_price"),
        InputColumn(name="lead_days", kind="whole", default=0.0, most="check.most_lead_days"),
        InputColumn(name="on_hand", kind="number", default=0.0, most="check.most_stock_count"),
        _length("trim", default_key="cut.trim_mm", is_positive=False),
    ),
)
STAFF = InputSheet(
    name="Staff",
    row_is="one person",
    required=True,
    starter="starter_staff",
    key="staff_id",
    columns=(
        _id("staff_id"),
        _word("skill", required=True),
        InputColumn(name="hours_per_week", kind="number", required=True, is_positive=True),
        InputColumn(name="days", kind="days", meaning="working days, such as Mon-Thu; empty: the campaign's"),
        InputColumn(name="from", kind="date"),
        InputColumn(name="until", kind="date"),
        InputColumn(name="hourly_rate", kind="number", most="check.most_amount_price"),
    ),
)
ABSENCES = InputSheet(
    name="Absences",
    row_is="one absence, both dates inclusive",
    columns=(
        _id("staff_id", required=False),
        InputColumn(name="from", kind="date", required=True),
        InputColumn(name="until", kind="date", required=True),
        _text("reason"),
    ),
)
RATES = InputSheet(
    name="Rates",
    row_is="the time one task takes",
    when_absent="the policy's rates are used",
    key="task",
    columns=(
        InputColumn(name="task", kind="word", required=True, words=RATE_TASKS),
        InputColumn(name="minutes", kind="number", required=True, most="check.most_rate_minutes"),
        InputColumn(name="minutes_low", kind="number", most="check.most_rate_minutes"),
        InputColumn(name="minutes_high", kind="number", most="check.most_rate_minutes"),
        _word("skill"),
    ),
)
ENCLOSURES = InputSheet(
    name="Enclosures",
    row_is="one size of stock enclosure",
    when_absent="the policy's enclosures are offered",
    key="enclosure_id",
    columns=(
        _id("enclosure_id"),
        _length("inner_width", required=True),
        _length("inner_height", required=True),
        _length("inner_depth", required=True),
        InputColumn(name="price", kind="number", required=True, most="check.most_amount_price"),
        InputColumn(name="on_hand", kind="number", default=0.0, most="check.most_stock_count"),
        InputColumn(name="lead_days", kind="whole", default=0.0, most="check.most_lead_days"),
        _length("max_slack", default_key="rehousing.max_slack_mm", is_positive=False),
        _length("max_depth_slack", default_key="rehousing.max_depth_slack_mm", is_positive=False),
    ),
)
DECISIONS = InputSheet(
    name="Decisions",
    row_is="one decision of a person that binds the plan",
    columns=(
        _id("volume_id"),
        InputColumn(name="openings", kind="openings", meaning="openings meant; empty: all with a hazard"),
        _word("decision", required=True),
        _id("paper_id", required=False),
        _text("by"),
        _text("reason", required=True),
    ),
)

STRATA = InputSheet(
    name="Strata",
    row_is="one stratum of a collection of which a sample was surveyed",
    key="stratum",
    columns=(
        _id("stratum"),
        InputColumn(
            name="volumes_in_all",
            kind="whole",
            required=True,
            is_positive=True,
            most="check.most_stratum_count",
        ),
    ),
)

SHEETS = (CAMPAIGN, VOLUMES, OPENINGS, PAPERS, STOCK, STAFF, ABSENCES, RATES, ENCLOSURES, DECISIONS, STRATA)
STARTER_GROUPS = (("Papers", "Stock"), ("Staff",))
"""Sheets whose starter sets belong together: one of them alone does not stand in for the other."""
SHEETS_BY_NAME = {sheet.name: sheet for sheet in SHEETS}
CAMPAIGN_HEADINGS = ("setting", "value")


def starters_for(present: Iterable[str]) -> tuple[str, ...]:
    """Sheets that the policy's starter sets stand in for, given the sheets that are there."""
    names = set(present)
    return tuple(name for group in STARTER_GROUPS if not names & set(group) for name in group)


def headings(sheet: InputSheet) -> tuple[str, ...]:
    """Headings of a sheet as written in its heading row."""
    if sheet.name == "Campaign":
        return CAMPAIGN_HEADINGS
    return tuple(column.name for column in sheet.columns)


def required_headings(sheet: InputSheet) -> tuple[str, ...]:
    """Headings without which a sheet cannot be read."""
    if sheet.name == "Campaign":
        return CAMPAIGN_HEADINGS
    return tuple(column.name for column in sheet.columns if column.required)


def described_columns() -> Iterator[tuple[InputSheet, InputColumn]]:
    """Every column with its sheet, in the order of the workbook."""
    for sheet in SHEETS:
        for column in sheet.columns:
            yield sheet, column


def allowed_in_list(column: InputColumn) -> tuple[str, ...]:
    """Words a list column of the shipped policy may hold."""
    return {"contents": CONTENT_WORDS, "hazards": HAZARDS}.get(column.kind, ())
