"""References in words, made from the contracts, so that they cannot drift from what the program does."""

from collections.abc import Iterator

from pipeline.contracts.published import TABLES
from pipeline.contracts.table import Table
from pipeline.frames import figures
from pipeline.inventory.dictionary import dictionary_markdown
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.settings import DRAFT_ROUNDS
from pipeline.settings import EFFORTS as EFFORT_NAMES
from pipeline.solve.choose import solver as choose_solver
from pipeline.solve.cut import offcut_model
from pipeline.solve.cut import solver as cut_solver
from pipeline.solve.schedule import model as weekly_model
from pipeline.solve.schedule.search import EFFORTS as TIMETABLE_EFFORTS
from pipeline.solve.size import model as size_model
from pipeline.stages.cutting_choices import STEPS_MM
from pipeline.stages.fit import QUICK_NEED_VOLUMES
from pipeline.units import PCT_OF_WHOLE


def published_reference() -> str:
    """Markdown: every published table with its columns, types and meanings."""
    lines = [
        "# Published tables",
        "",
        "Schema `published` of `plan.duckdb`: what the audit, the workbooks and the reports read, and what",
        "anyone may query. Lengths in mm, thickness in um, hours in hours, money in the campaign's currency.",
        "`?` marks a column that may be empty. The SELECTs that fill the tables lie in `11_publish/`, those of",
        "the other stages beside it; `audit/` holds one rule a file, `outputs/` the views that workbooks show.",
    ]
    for table in TABLES:
        lines += ["", *_table(table)]
    return "\n".join(lines) + "\n"


def policy_reference() -> str:
    """Markdown: every policy key with its shipped value, unit and basis."""
    lines = [
        "# Policy keys",
        "",
        "Every figure a conservator could dispute, from `default.toml`. A lab's own file (`--policy FILE.toml`)",
        "names only what it changes, in the same layout; it may add hazards, content words and enclosures.",
        "",
        "| key | value | unit | basis |",
        "| --- | --- | --- | --- |",
    ]
    for entry in load_policy().entries:
        value = entry.value if isinstance(entry.value, str) else f"{entry.value:g}"
        lines.append(f"| `{entry.key}` | {value} | {entry.unit} | {entry.basis} |")
    return "\n".join(lines) + "\n"


def _table(table: Table) -> Iterator[str]:
    yield f"## {table.stem}"
    yield ""
    yield table.doc
    yield ""
    yield "| column | type | meaning |"
    yield "| --- | --- | --- |"
    for field, nullable in table.fields:
        words = f" ({', '.join(word for word in field.one_of if word)})" if field.one_of else ""
        yield f"| {field.name}{'?' if nullable else ''} | {field.kind} | {field.meaning}{words} |"


def columns_reference() -> str:
    """Markdown: every sheet and column of the inventory, what may stand in it and what an empty cell means."""
    return dictionary_markdown(figures(policy_tables(load_policy())))


def effort_reference() -> str:
    """Markdown: the counts that end each search, by effort, and those that hold at every effort."""
    lines = [
        "| what ends a search | " + " | ".join(EFFORT_NAMES) + " |",
        "| --- |" + " ---: |" * len(EFFORT_NAMES),
    ]
    by_effort = [dict(_counts(effort)) for effort in EFFORT_NAMES]
    for words in by_effort[0]:
        lines.append(f"| {words} | " + " | ".join(counts[words] for counts in by_effort) + " |")
    lines += ["", "At every effort:", "", *(f"- {line}" for line in _always())]
    return "\n".join(lines) + "\n"


def _counts(effort: str) -> Iterator[tuple[str, str]]:
    """What each search may do at an effort, in words and counts."""
    is_quick = effort == "quick"
    cut, dates = cut_solver.EFFORTS[effort], TIMETABLE_EFFORTS[effort]
    sizes = size_model.quick_limits(0) if is_quick else size_model.Limits(seed=0)
    near, merges = cut.neighbourhoods, cut.merges
    need_volumes = f"{QUICK_NEED_VOLUMES}" if is_quick else "`needs.most_volumes_count`"
    yield "draft rounds", str(DRAFT_ROUNDS[effort])
    yield "volumes on which each missing paper is tried", need_volumes
    yield "blocks placed anew of a part too large to search whole", str(sizes.blocks)
    yield "dives, a way of cutting", str(cut.dives)
    yield "pricings before patterns are fixed", str(cut.dive_pricings)
    yield "nodes for the last parents", str(cut.last_limits.nodes)
    yield "neighbourhoods bettered, nodes in each", f"{near.count}, {near.limits.nodes}"
    yield "failed merges of patterns, nodes in each", f"{merges.tries}, {merges.limits.nodes}"
    yield (
        "near enough to the bound of the cutting, per cent",
        f"{float(cut.close_enough * int(PCT_OF_WHOLE)):g}",
    )
    yield "tasks placed while orders of work are tried", f"{dates.tried_tasks:,}"
    yield "tasks placed while each week is tried, tries a week", f"{dates.week_tasks:,}, {dates.most_a_week}"
    yield "timetables in which volumes change places", str(dates.reordered)
    yield (
        "steps that raise the timetable's bound, places weighed, minutes of the grid",
        f"{dates.most_climbed}, {dates.climbed_places:,}, {dates.climb_grid}",
    )
    yield (
        "further steps on the finest grid, places weighed",
        f"{dates.most_fine}, {dates.fine_places:,}",
    )
    yield "other clearances compared, steps in mm", str(STEPS_MM.get(effort, "none"))
    yield "other numbers of sizes on a sheet compared", "no" if is_quick else "yes"
    yield (
        "shares of the grant estimated",
        "+`frontier.more_pct`, all" if is_quick else "by `frontier.step_pct`",
    )


def _always() -> Iterator[str]:
    """What each search may do at every effort."""
    packs, alone, sizes = choose_solver.FOR_A_PLAN, choose_solver.ALONE, size_model.Limits(seed=0)
    yield f"choice of options: {packs.nodes} nodes for the packs, then {packs.settled.most_nodes} for the options;"
    yield f"choice of options without packs: {alone.most_nodes} nodes;"
    yield (
        f"choice of options, packs and a core of at most {choose_solver.SMALL_CORE_OPTIONS} options: "
        f"{choose_solver.SMALL_NODES:,} nodes;"
    )
    yield f"cut sizes: {sizes.cover_nodes} nodes a part for the fewest, {sizes.place_nodes} for the best placed;"
    yield f"bound of the cutting: {cut_solver.ROUNDS:,} linear programs a way of cutting;"
    yield f"off-cuts: {offcut_model.MOST_NODES} nodes a paper;"
    yield f"weekly relaxation of the timetable: {weekly_model.MOST_ITERATIONS:,} steps of the simplex method."
