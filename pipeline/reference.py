"""References in words, made from the contracts, so that they cannot drift from what the program does."""

from collections.abc import Iterator

from pipeline.contracts.published import TABLES
from pipeline.contracts.table import Table
from pipeline.frames import figures
from pipeline.inventory.dictionary import dictionary_markdown
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables


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
