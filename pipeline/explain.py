"""`guardleaf explain`: one volume as a conservator would discuss it. Reads the plan; decides nothing."""

import difflib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pipeline.errors import FileProblemError
from pipeline.folder import store_path
from pipeline.store import Store
from pipeline.units import length_text

Row = dict[str, Any]


def explain_volume(folder: Path, volume_id: str) -> list[str]:
    """Lines that say what was measured, what fits, what each opening got and why.

    Raises FileProblemError when the folder holds no plan or the plan no such volume.
    """
    with Store(store_path(folder), read_only=True) as store:
        volume = _volume(store, volume_id)
        return [
            *_measured(store, volume),
            "",
            *_headroom(store, volume),
            "",
            *_openings(store, volume),
            *_cut(store, volume),
            *_remarks(store, volume),
        ]


def _rows(store: Store, table: str, volume_id: str) -> list[Row]:
    frame = store.read(table)
    return frame.filter(frame["volume_id"] == volume_id).to_dicts()


def _volume(store: Store, volume_id: str) -> Row:
    found = _rows(store, "published.volumes", volume_id)
    if found:
        return found[0]
    known = store.read("published.volumes")["volume_id"].to_list()
    near = difflib.get_close_matches(volume_id, known, n=3)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise FileProblemError(f"the plan has no volume {volume_id}{hint}")


def _measured(store: Store, volume: Row) -> Iterator[str]:
    unit = store.read("published.run")["length_unit"].item()

    def text(key: str) -> str:
        return length_text(volume[key], unit)

    title = f" ({volume['title']})" if volume["title"] else ""
    yield f"{volume['volume_id']}{title}, {volume['collection']}"
    yield f"  {volume['state']}: {volume['reason']}"
    yield (
        f"  page {text('page_width_mm')} wide, {text('page_height_mm')} high; {volume['leaves']} leaves, "
        f"{volume['leaf_condition']}; {volume['binding']}, joints {volume['joints']}"
    )
    yield (
        f"  spine {text('spine_thickness_mm')}, fore edge {text('fore_edge_thickness_mm')}, "
        f"spare extension {text('extension_mm')}; use {volume['use']}, significance {volume['significance']} of 5"
    )
    if volume["existing_leaves"]:
        thickness = f"{volume['existing_leaf_thickness_um']:g}"
        yield (
            f"  {volume['existing_leaves']} old interleaving leaves of {thickness} um, "
            "taken out where sheets are planned"
        )


def _headroom(store: Store, volume: Row) -> Iterator[str]:
    room = _rows(store, "work.headroom", volume["volume_id"])[0]
    if volume["wedge_limit_deg"] is None:
        yield "The joint is split: no bulk may be added before it is treated."
        return
    yield (
        f"Headroom {volume['headroom_um']} um: by wedge angle {room['by_angle_um']} um "
        f"(limit {volume['wedge_limit_deg']:g} deg), by growth {room['by_growth_um']} um; the lesser counts"
    )
    if room["by_angle_um"] < 0:
        yield (
            f"  over its wedge limit by {-room['by_angle_um']} um before anything is added; "
            "what would help: taking out bulk at the fore edge, more extension, guards, or treatment of the joint"
        )
    yield (
        f"  planned: {volume['sheets']} sheets, {volume['added_um']} um; "
        f"left: {volume['headroom_um'] - volume['added_um']} um"
    )
    yield (
        f"  wedge {volume['wedge_before_deg']:.2f} deg before, {volume['wedge_after_deg']:.2f} deg after; fore edge "
        f"{volume['fore_edge_before_mm']:.2f} mm before, {volume['fore_edge_after_mm']:.2f} mm after"
    )


def _openings(store: Store, volume: Row) -> Iterator[str]:
    volume_id = volume["volume_id"]
    groups = _rows(store, "published.opening_groups", volume_id)
    benefits = _rows(store, "work.benefits", volume_id)
    best = {
        group["group_no"]: max(
            (row["benefit_per_sheet"] for row in benefits if row["group_no"] == group["group_no"]),
            default=0.0,
        )
        for group in groups
    }
    sheets = _rows(store, "published.interleaves", volume_id)
    permitted = _rows(store, "work.permitted", volume_id)
    yield "Openings, the greatest benefit of a sheet first:" if groups else "No opening has a hazard."
    for group in sorted(groups, key=lambda row: (-best[row["group_no"]], row["group_no"])):
        yield from _group(
            group,
            [row for row in sheets if row["group_no"] == group["group_no"]],
            {
                row["paper_id"]: row["benefit_per_sheet"]
                for row in benefits
                if row["group_no"] == group["group_no"]
            },
            [row for row in permitted if row["group_no"] == group["group_no"]],
        )


def _group(group: Row, sheets: list[Row], benefits: dict[str, float], permitted: list[Row]) -> Iterator[str]:
    places = f"openings {group['openings']}" if group["openings"] else "places not noted"
    yield (
        f"- {group['count']} openings ({places}): left {group['left_content']}, right {group['right_content']}; "
        f"{group['hazards']} (severity {group['severity']}); "
        f"expected loss {group['loss_before']:.3f} each without a sheet"
    )
    for row in sheets:
        where = f" in {row['openings']}" if row["openings"] else ""
        yield f"    {row['sheets']} sheets of {row['paper_id']}{where}: {row['reason']}"
    without = group["count"] - sum(row["sheets"] for row in sheets)
    if without:
        yield f"    {without} openings get no sheet"
    for row in permitted:
        if row["is_permitted"]:
            yield f"    {row['paper_id']}: permitted, a sheet avoids {benefits[row['paper_id']]:.4f} page losses"
        else:
            yield f"    {row['paper_id']}: not permitted, {row['missing']}"


def _cut(store: Store, volume: Row) -> Iterator[str]:
    sizes = store.query(
        "select volume_id, paper_id, cut_size_id, width_mm, height_mm, cut_size_volumes.sheets, "
        "clearance_width_mm, clearance_height_mm "
        "from published.cut_size_volumes join published.cut_sizes using (cut_size_id) order by cut_size_id"
    )
    for row in sizes.filter(sizes["volume_id"] == volume["volume_id"]).to_dicts():
        yield (
            f"Cut size {row['cut_size_id']} ({row['paper_id']}): {row['width_mm']:.1f} x {row['height_mm']:.1f} mm, "
            f"{row['sheets']} sheets; clearance {row['clearance_width_mm']:.1f} and {row['clearance_height_mm']:.1f} mm"
        )


def _remarks(store: Store, volume: Row) -> Iterator[str]:
    for row in _rows(store, "published.findings", volume["volume_id"]):
        yield f"{row['level']}: {row['message']}; {row['action']}"
