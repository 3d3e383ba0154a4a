"""The command `guardleaf`: arguments in, exit status out. The only file that prints and exits.

Heavy imports stand inside the commands, so that --help answers at once.
"""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pipeline.cli_options import (
    AsOfOption,
    ClearanceOption,
    ColumnsOption,
    EndDateOption,
    InventoryArgument,
    JsonLinesOption,
    MarkedOption,
    OneMoreOption,
    PlanArgument,
    PolicyOption,
    StaffBudgetOption,
    SuppliesOption,
    what_if_of,
)
from pipeline.errors import (
    AuditFailedError,
    ExitCode,
    FileProblemError,
    Finding,
    GuardleafError,
    InventoryRefusedError,
    ReturnRefusedError,
)

if TYPE_CHECKING:
    from pipeline.settings import Settings

app = typer.Typer(
    name="guardleaf",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Plans the interleaving of bound scrapbooks and albums: from an inventory workbook to audited work orders.",
    epilog="Start with: guardleaf demo",
)


def _show_version(is_asked: bool) -> None:
    if is_asked:
        from pipeline import __version__

        typer.echo(f"guardleaf {__version__}")
        raise typer.Exit


@app.callback()
def _all_commands(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version and stop."),
    ] = False,
) -> None:
    """Options of the command itself; `version` is dealt with before any command is looked for."""


@app.command(epilog="Example: guardleaf demo --out my_demo")
def demo(
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the plan goes.")] = Path(
        "reports/demo"
    ),
) -> None:
    """Plan the sample inventory that comes with the program."""
    from pipeline.resources import sample_inventory

    _plan(_settings(sample_inventory(), out, policy=None, as_of=None))


@app.command(epilog="Example: guardleaf template inventory.xlsx")
def template(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.xlsx", help="The workbook to write; must not exist yet.")
    ],
) -> None:
    """Write a blank inventory with drop-downs, notes and example rows."""
    from pipeline.inventory.template import write_template

    if file.exists():
        raise FileProblemError(f"{file} exists already; name a new file")
    write_template(file)
    typer.echo(f"blank inventory written: {file}")


@app.command(epilog="Example: guardleaf check inventory.xlsx --marked marked.xlsx")
def check(
    inventory: InventoryArgument,
    policy: PolicyOption = None,
    columns: ColumnsOption = None,
    marked: MarkedOption = None,
    jsonl: JsonLinesOption = "",
) -> None:
    """Check an inventory and list every finding; nothing is planned."""
    from pipeline.plan import check_only

    settings = replace(_settings(inventory, Path("."), policy, as_of=None), columns=columns)
    findings = check_only(settings)
    _show_findings(findings)
    _write_findings(inventory, findings, marked, jsonl)
    errors = sum(finding.level == "error" for finding in findings)
    typer.echo(f"{errors} errors, {len(findings) - errors} warnings and notes", err=jsonl == "-")
    if errors:
        raise typer.Exit(ExitCode.REFUSED)


@app.command(epilog="Example: guardleaf match albums.xlsx --out columns.toml")
def match(
    inventory: InventoryArgument,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.toml", help="Write it to a file; must not exist yet."),
    ] = None,
    policy: PolicyOption = None,
) -> None:
    """Propose a column file for an inventory with sheets and headings of its own, to be looked over."""
    from pipeline.inventory.proposal import propose_columns
    from pipeline.policy.load import load_policy

    if out is not None and out.exists():
        raise FileProblemError(f"{out} exists already; name a new file")
    text = propose_columns(inventory, load_policy(policy))
    if out is None:
        typer.echo(text, nl=False)
        return
    out.write_text(text, encoding="utf-8")
    typer.echo(
        f"column file proposed: {out}; look it over, then: guardleaf check {inventory} --columns {out}"
    )


@app.command(epilog="Example: guardleaf plan inventory.xlsx --out plans/spring")
def plan(  # noqa: PLR0913, PLR0917  # one parameter is one option of the command
    inventory: InventoryArgument,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the plan goes.")],
    policy: PolicyOption = None,
    columns: ColumnsOption = None,
    as_of: AsOfOption = None,
    sensitivity: Annotated[
        bool,
        typer.Option(
            "--sensitivity",
            help="Also redo risk and choice with the judgement figures low, high and drawn at random: "
            "how sure are states and ranking? Fills published.sensitivity; takes longer.",
        ),
    ] = False,
    end_date: EndDateOption = None,
    supplies_budget: SuppliesOption = None,
    staff_budget: StaffBudgetOption = None,
    one_more: OneMoreOption = None,
    greatest_clearance: ClearanceOption = None,
) -> None:
    """Plan an inventory: the whole job, from risk to work orders.

    What-if options plan otherwise than the inventory says, which stays as it is; each is noted among the findings.
    """
    what_if = what_if_of(end_date, supplies_budget, staff_budget, one_more, greatest_clearance)
    settings = _settings(inventory, out, policy, as_of.date() if as_of else None)
    _plan(replace(settings, sensitivity=sensitivity, what_if=what_if, columns=columns))


@app.command(epilog="Example: guardleaf explain reports/demo CC-004")
def explain(
    folder: PlanArgument,
    volume_id: Annotated[
        str, typer.Argument(metavar="VOLUME_ID", help="The volume as named in the inventory.")
    ],
    png: Annotated[
        Path | None,
        typer.Option(
            "--png", metavar="FILE", help="Also draw the closed volume before and after, with its limit."
        ),
    ] = None,
) -> None:
    """Say why each opening of a volume got what it got, and what would change it."""
    from pipeline.explain import draw_volume, explain_volume

    for line in explain_volume(folder, volume_id):
        typer.echo(line)
    if png is not None:
        typer.echo(f"{draw_volume(folder, volume_id, png)} Written to {png}")


@app.command(epilog="Example: guardleaf compare plans/spring plans/autumn --out compared.xlsx")
def compare(
    folders: Annotated[
        list[Path], typer.Argument(metavar="DIR DIR...", help="The folders of two or more plans.")
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.xlsx", help="Also write it as a workbook; must not exist yet."),
    ] = None,
) -> None:
    """Set plans side by side: sheets, benefit, hours, cost, finish, states, what changed volume by volume."""
    from pipeline.compare import compare_plans
    from pipeline.outputs.comparison import comparison_lines, write_comparison

    if len(folders) == 1:
        raise typer.BadParameter("name at least two plans")
    if out is not None and out.exists():
        raise FileProblemError(f"{out} exists already; name a new file")
    found = compare_plans(folders)
    if out is not None:
        write_comparison(out, found)
    for line in comparison_lines(found):
        typer.echo(line)


@app.command(epilog="Example: guardleaf audit reports/demo")
def audit(folder: PlanArgument) -> None:
    """Check a plan again, against every hard rule, from its published tables alone."""
    from pipeline.audit import audit_folder, broken_lines

    results = audit_folder(folder)
    broken = broken_lines(results)
    if broken:
        raise AuditFailedError(broken)
    typer.echo(f"all {len(results)} rules hold")


@app.command(epilog="Example: guardleaf record plans/spring returned/week_12.xlsx")
def record(
    folder: PlanArgument,
    returned: Annotated[
        list[Path],
        typer.Argument(metavar="RETURNED.xlsx...", help="Work orders with their sheet Returns filled in."),
    ],
    accept_good_rows: Annotated[
        bool,
        typer.Option(
            "--accept-good-rows", help="Take the rows that are clear, leave out those that are not."
        ),
    ] = False,
) -> None:
    """Take returned work orders into the plan's ledger."""
    from pipeline.ledger.record import record_returns

    now = datetime.now().replace(microsecond=0)
    result = record_returns(folder, returned, accept_good_rows=accept_good_rows, recorded_at=now)
    _show_findings(result.findings)
    for line in result.summary:
        typer.echo(line)


@app.command(epilog="Example: guardleaf replan plans/spring --as-of 2027-03-15")
def replan(
    folder: PlanArgument,
    inventory: Annotated[
        Path | None,
        typer.Option(
            "--inventory",
            metavar="REVISED",
            help="A revised inventory: new staff, absences, stock as counted, corrected volumes. "
            "Without it the plan's own is taken.",
        ),
    ] = None,
    as_of: AsOfOption = None,
    policy: PolicyOption = None,
) -> None:
    """Plan what is left, from the ledger, as a new revision; the old one is kept under revisions/."""
    from pipeline.plan import replan as plan_again

    settings = _settings(inventory or folder, folder, policy, as_of.date() if as_of else None)
    with _progress() as show:
        result = plan_again(settings, show)
    _show_findings(result.findings)
    for line in result.summary:
        typer.echo(line)


@app.command(epilog="Example: guardleaf report plans/spring --as-of 2027-03-31 --out reports/march")
def report(
    folder: PlanArgument,
    as_of: AsOfOption = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where interim_report.xlsx and .docx go.")
    ] = Path("reports"),
) -> None:
    """Write an interim report for the funder: planned against done, what is left, forecast finish."""
    from pipeline.ledger.interim import gather_interim
    from pipeline.outputs.interim_report import write_interim_document, write_interim_report

    settings = _settings(folder, folder, policy=None, as_of=as_of.date() if as_of else None)
    interim = gather_interim(folder, settings)
    out.mkdir(parents=True, exist_ok=True)
    write_interim_report(out / "interim_report.xlsx", interim)
    write_interim_document(out / "interim_report.docx", interim)
    typer.echo(f"interim report of {settings.as_of} written to {out}")


def main() -> None:
    """Run the command; turn each expected failure into one line and its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        status = app(standalone_mode=False)
        code = status if isinstance(status, int) else ExitCode.DONE
    except (InventoryRefusedError, ReturnRefusedError) as error:
        _show_findings(error.findings)
        code = _stop(error)
    except AuditFailedError as error:
        for line in error.broken:
            typer.echo(line, err=True)
        code = _stop(error)
    except GuardleafError as error:
        code = _stop(error)
    except (KeyboardInterrupt, typer.Abort):
        typer.echo("stopped; nothing was changed", err=True)
        code = ExitCode.INTERRUPTED
    except OSError as error:
        code = _stop(FileProblemError(f"{error.filename or 'a file'}: {error.strerror or error}"))
    except _usage_error() as error:
        error.show()  # type: ignore[attr-defined]
        code = ExitCode.USAGE
    sys.exit(code)


def _usage_error() -> type[Exception]:
    from typer import BadParameter

    return next(kind for kind in BadParameter.__mro__ if kind.__name__ == "ClickException")


def _stop(error: GuardleafError) -> int:
    typer.echo(f"guardleaf: {error}", err=True)
    return error.exit_code


def _show_findings(findings: tuple[Finding, ...]) -> None:
    for finding in findings:
        typer.echo(finding.line(), err=True)


def _write_findings(inventory: Path, findings: tuple[Finding, ...], marked: Path | None, jsonl: str) -> None:
    """The findings in the other forms that were asked for."""
    if marked is not None:
        from pipeline.inventory.marked import write_marked

        count = write_marked(inventory, marked, findings)
        typer.echo(f"{count} cells marked in {marked}", err=True)
    if jsonl:
        from pipeline.inventory.findings_json import STANDARD_OUTPUT, json_lines, write_json_lines

        if jsonl == STANDARD_OUTPUT:
            typer.echo(json_lines(findings), nl=False)
        else:
            write_json_lines(Path(jsonl), inventory, findings)


def _plan(settings: "Settings") -> None:
    from pipeline.plan import make_plan

    with _progress() as show:
        result = make_plan(settings, show)
    _show_findings(result.findings)
    for line in result.summary:
        typer.echo(line)


def _settings(inventory: Path, out: Path, policy: Path | None, as_of: date | None) -> "Settings":
    from pipeline.settings import Settings

    now = datetime.now().replace(microsecond=0)
    return Settings(inventory=inventory, out=out, policy=policy, as_of=as_of or now.date(), planned_at=now)


@contextmanager
def _progress() -> Iterator[Callable[[str], None]]:
    """Shows the stage at work on a terminal, and nothing in a pipe."""
    is_terminal = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"

    def show(text: str) -> None:
        if is_terminal:
            typer.echo(f"\r{text:<60}", err=True, nl=False)

    try:
        yield show
    finally:
        show("")
        if is_terminal:
            typer.echo("\r", err=True, nl=False)
