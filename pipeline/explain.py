"""`guardleaf explain`: one volume as a conservator would discuss it. Reads the plan; decides nothing.

What would change the answer is tried on the spot, on this volume alone, with the solver of the plan.
"""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pipeline.errors import FileProblemError
from pipeline.folder import store_path
from pipeline.frames import Frames, figures
from pipeline.solve.fit.needs import paper_trials, tried
from pipeline.solve.fit.reasons import losses, plural
from pipeline.solve.fit.tables import fit_problem, fit_tables
from pipeline.solve.fit.treatments import treatment_trials
from pipeline.stages.fit import NEEDS_READS
from pipeline.store import Store
from pipeline.units import BENEFIT_TICKS, ceil_um, length_text, um_to_mm

Row = dict[str, Any]
_CHANGES_SHOWN = 6
_READS = (
    *NEEDS_READS,
    "work.fit_groups",
    "work.options",
    "published.opening_groups",
    "published.interleaves",
    "published.options",
    "published.decisions",
    "published.sensitivity",
    "published.findings",
)


@dataclass(frozen=True)
class _Told:
    """The volume's row and its rows of every table that the explanation reads."""

    volume: Row
    frames: Frames
    length_unit: str
    currency: str

    def rows(self, table: str, **where: object) -> list[Row]:
        """Rows of a table, in key order."""
        frame = self.frames[table]
        return (frame.filter(**where) if where else frame).to_dicts()

    def text(self, key: str) -> str:
        """A length of the volume as the lab writes it."""
        return length_text(self.volume[key], self.length_unit)


def explain_volume(folder: Path, volume_id: str) -> list[str]:
    """Lines that say what was measured, what fits, what each opening got and why, what would change it.

    Raises FileProblemError when the folder holds no plan or the plan no such volume.
    """
    with Store(store_path(folder), read_only=True) as store:
        told = _told(store, volume_id)
        cut = list(_cut(store, volume_id))
    return [
        *_measured(told),
        "",
        *_headroom(told),
        "",
        *_openings(told),
        *_next_sheets(told),
        *_changes(told),
        *_decisions(told),
        *cut,
        *_sureness(told),
        *_remarks(told),
    ]


def draw_volume(folder: Path, volume_id: str, file: Path) -> str:
    """Writes a PNG of the closed volume before and after, with its limit; returns the picture in words.

    Raises FileProblemError as explain_volume does.
    """
    from pipeline.outputs.wedge import CAPTION, wedge_picture, wedge_text  # draws: slow to import

    with Store(store_path(folder), read_only=True) as store:
        volume = _volume(store, volume_id)
    left_um = volume["headroom_um"] - volume["added_um"]
    shown = volume | {"fore_edge_limit_mm": volume["fore_edge_after_mm"] + um_to_mm(left_um)}
    file.write_bytes(wedge_picture(shown))
    return f"{wedge_text(shown)} {CAPTION}"


def _told(store: Store, volume_id: str) -> _Told:
    run = store.read("published.run").row(0, named=True)
    volume = _volume(store, volume_id)
    frames = {name: store.read(name, volume_id=volume_id) for name in _READS}
    return _Told(volume, frames, run["length_unit"], run["currency"])


def _volume(store: Store, volume_id: str) -> Row:
    found = store.read("published.volumes", volume_id=volume_id).to_dicts()
    if found:
        return found[0]
    known = store.read("published.volumes")["volume_id"].to_list()
    near = difflib.get_close_matches(volume_id, known, n=3)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise FileProblemError(f"the plan has no volume {volume_id}{hint}")


def _measured(told: _Told) -> Iterator[str]:
    volume = told.volume
    title = f" ({volume['title']})" if volume["title"] else ""
    yield f"{volume['volume_id']}{title}, {volume['collection']}"
    yield f"  {volume['state']}: {volume['reason']}"
    yield (
        f"  page {told.text('page_width_mm')} wide, {told.text('page_height_mm')} high; "
        f"{volume['leaves']} leaves, {volume['leaf_condition']}; {volume['binding']}, joints {volume['joints']}"
    )
    yield (
        f"  spine {told.text('spine_thickness_mm')}, fore edge {told.text('fore_edge_thickness_mm')}, "
        f"spare extension {told.text('extension_mm')}; use {volume['use']}, "
        f"significance {volume['significance']} of 5"
    )
    if volume["existing_leaves"]:
        thickness = f"{volume['existing_leaf_thickness_um']:g}"
        yield (
            f"  {volume['existing_leaves']} old interleaving leaves of {thickness} µm, "
            "taken out where sheets are planned"
        )


def _headroom(told: _Told) -> Iterator[str]:
    volume, room = told.volume, told.rows("work.headroom")[0]
    if volume["wedge_limit_deg"] is None:
        yield "The joint is split: no bulk may be added before it is treated."
        return
    yield (
        f"Headroom {volume['headroom_um']} µm: by wedge angle {room['by_angle_um']} µm "
        f"(limit {volume['wedge_limit_deg']:g}°), by growth {room['by_growth_um']} µm; the lesser counts"
    )
    if room["removed_um"]:
        yield f"  {room['removed_um']} µm of it come from the old leaves that are taken out"
    if room["by_angle_um"] < 0:
        yield f"  over its wedge limit by {-room['by_angle_um']} µm before anything is added"
    yield (
        f"  planned: {volume['sheets']} sheets, {volume['added_um']} µm; "
        f"left: {volume['headroom_um'] - volume['added_um']} µm"
    )
    yield (
        f"  wedge {volume['wedge_before_deg']:.2f}° before, {volume['wedge_after_deg']:.2f}° after; fore edge "
        f"{volume['fore_edge_before_mm']:.2f} mm before, {volume['fore_edge_after_mm']:.2f} mm after"
    )


def _openings(told: _Told) -> Iterator[str]:
    groups = told.rows("published.opening_groups")
    best = {
        group["group_no"]: max(
            (row["benefit_per_sheet"] for row in told.rows("work.benefits", group_no=group["group_no"])),
            default=0.0,
        )
        for group in groups
    }
    yield "Openings, the greatest benefit of a sheet first:" if groups else "No opening has a hazard."
    for group in sorted(groups, key=lambda row: (-best[row["group_no"]], row["group_no"])):
        yield from _group(told, group)


def _group(told: _Told, group: Row) -> Iterator[str]:
    number = group["group_no"]
    yield (
        f"- {plural(group['count'], 'opening')} ({_places(group)}): left {group['left_content']}, "
        f"right {group['right_content']}; {group['hazards']} (severity {group['severity']}); "
        f"expected loss {group['loss_before']:.3f} each without a sheet"
    )
    yield from _notes(told, number)
    sheets = told.rows("published.interleaves", group_no=number)
    for row in sheets:
        where = f" in {row['openings']}" if row["openings"] else ""
        yield f"    {plural(row['sheets'], 'sheet')} of {row['paper_id']}{where}: {row['reason']}"
    yield from _bare(told, group, sum(row["sheets"] for row in sheets))
    benefits = {
        row["paper_id"]: row["benefit_per_sheet"] for row in told.rows("work.benefits", group_no=number)
    }
    for row in told.rows("work.permitted", group_no=number):
        if row["is_permitted"]:
            yield f"    {row['paper_id']}: permitted, a sheet avoids {losses(benefits[row['paper_id']])} page losses"
        else:
            yield f"    {row['paper_id']}: not permitted, {row['missing']}"


def _places(group: Row) -> str:
    if not group["openings"]:
        return "places not noted"
    return f"no. {group['openings']}"


def _notes(told: _Told, group_no: int) -> Iterator[str]:
    """What was taken for granted about the group, and what a conservator should look at."""
    needs = told.rows("work.group_needs", group_no=group_no)[0]
    group = told.rows("work.opening_groups", group_no=group_no)[0]
    if group["origin"] == "survey_count":
        yield "    from the volume's counts: both pages taken as unknown; severity that of the policy"
    if group["has_counts_overlaid"]:
        yield "    the counts fit the volume only with different hazards in the same openings"
    if needs["is_content_guessed"]:
        yield "    no content is known of the whole volume: photographs are taken as possible, PAT is asked for"
    if needs["needs_unbuffered"] and needs["has_staining"]:
        yield (
            "    opposite needs: pH-sensitive content asks for unbuffered paper, the staining matter beside it "
            "for buffered; unbuffered is planned, a conservator should look at it"
        )


def _bare(told: _Told, group: Row, sheets: int) -> Iterator[str]:
    """Why openings of a group get no sheet: the fit's own reason, then the campaign's."""
    without = group["count"] - sheets
    fit = told.rows("work.fit_groups", group_no=group["group_no"])[0]
    by_fit = min(without, fit["bare_openings"])
    if by_fit:
        yield f"    {_without(by_fit)}: {fit['reason']}"
    if without > by_fit:
        yield f"    {_without(without - by_fit)}: left out by the campaign's limits, see above"


def _without(count: int) -> str:
    return f"{plural(count, 'opening')} without a sheet"


def _next_sheets(told: _Told) -> Iterator[str]:
    """What the next step of the volume's options would bring, and what the next sheet is short of."""
    options = told.rows("published.options")
    now = next((row for row in options if row["chosen"]), None)
    if now is None:
        return
    more = [row for row in options if row["benefit"] > now["benefit"]]
    if more:
        step = min(more, key=lambda row: row["benefit"])
        gain, hours = step["benefit"] - now["benefit"], step["hours"] - now["hours"]
        yield (
            f"The next step, {plural(step['sheets'], 'sheet')} in all, would avoid {losses(gain)} more page losses "
            f"for about {hours:.1f} hours and {step['cost'] - now['cost']:.2f} {told.currency} more."
        )
    yield from _shortage(told)


def _shortage(told: _Told) -> Iterator[str]:
    """The best sheet that found no room, and how many um are short."""
    benefits = {
        (row["group_no"], row["paper_id"]): row["benefit_per_sheet"] for row in told.rows("work.benefits")
    }
    waiting = [row["group_no"] for row in told.rows("work.fit_groups", cause="room")]
    offers = [(benefit, *key) for key, benefit in benefits.items() if key[0] in waiting]
    if not offers:
        return
    thickness = {row["paper_id"]: row["effective_thickness_um"] for row in told.rows("work.paper_properties")}
    benefit, group_no, paper_id = max(
        offers, key=lambda offer: (offer[0], -thickness[offer[2]], -offer[1], offer[2])
    )
    room = told.rows("work.headroom")[0]
    left_um = min(room["by_angle_um"], room["by_growth_um"]) - sum(
        row["sheets"] * ceil_um(row["thickness_um"]) for row in told.rows("published.interleaves")
    )
    short_um = ceil_um(thickness[paper_id]) - left_um
    where = _places(told.rows("published.opening_groups", group_no=group_no)[0])
    if short_um > 0:
        yield (
            f"The best sheet that finds no room ({paper_id}, {where}) would avoid {losses(benefit)} page losses; "
            f"{short_um} µm are short: {um_to_mm(short_um):.3f} mm more extension would let it in."
        )


def _changes(told: _Told) -> Iterator[str]:
    """What would change the answer: treatment, guards, extension, a paper that is not in the list."""
    if told.volume["hold"] or not told.rows("published.opening_groups"):
        return
    tables = fit_tables(told.frames, figures(told.frames))
    problem = fit_problem(tables)
    treatments = list(treatment_trials(told.frames, tables, problem))
    needs = tried([*treatments, *paper_trials(told.frames, tables, problem)], problem)
    helping = {need.label.words for need in needs}
    useless = [
        trial.label.words
        for trial in treatments
        if trial.label.words not in helping and trial.problem.max_papers == problem.max_papers
    ]
    if told.volume["state"] in ("no_headroom", "treat_first") and useless:
        yield f"Would not be enough alone: {'; '.join(useless)}."
    if needs:
        yield "What would change the answer (each alone, before any budget):"
    for need in needs[:_CHANGES_SHOWN]:
        words = (
            need.label.words
            if need.label.candidate is None
            else f"a paper not in the list: {need.label.words}"
        )
        sheets = f"{need.added_sheets:+d} {'sheet' if abs(need.added_sheets) == 1 else 'sheets'}"
        yield f"  {words}: {sheets}, {losses(need.added_ticks / BENEFIT_TICKS)} more page losses avoided"


def _decisions(told: _Told) -> Iterator[str]:
    for row in told.rows("published.decisions"):
        where = f"openings {row['openings']}" if row["openings"] else "all openings with a hazard"
        paper = f" {row['paper_id']}" if row["paper_id"] else ""
        by = f" by {row['by']}" if row["by"] else ""
        yield f"Decision{by}: {row['decision']}{paper}, {where} ({row['reason']}): {row['outcome']}"


def _cut(store: Store, volume_id: str) -> Iterator[str]:
    sizes = store.read("published.cut_sizes").drop("sheets")
    cut = store.read("published.cut_size_volumes", volume_id=volume_id).join(sizes, on="cut_size_id")
    for row in cut.sort("cut_size_id").to_dicts():
        yield (
            f"Cut size {row['cut_size_id']} ({row['paper_id']}): {row['width_mm']:.1f} x {row['height_mm']:.1f} mm, "
            f"{plural(row['sheets'], 'sheet')}; clearance {row['clearance_width_mm']:.1f} and "
            f"{row['clearance_height_mm']:.1f} mm"
        )


def _sureness(told: _Told) -> Iterator[str]:
    for row in told.rows("published.sensitivity"):
        yield (
            f"How sure: with judgement figures drawn {row['draws_count']} times it stays {row['state']} in "
            f"{row['kept_pct']:.0f} % of the draws; place {row['rank_no']} by benefit as planned, "
            f"{row['low_rank_no']} to {row['high_rank_no']} in most draws"
        )


def _remarks(told: _Told) -> Iterator[str]:
    for row in told.rows("published.findings"):
        yield f"{row['level']}: {row['message']}; {row['action']}"
