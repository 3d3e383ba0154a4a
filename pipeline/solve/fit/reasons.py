"""Sentences that name the rule and the figure: why a volume has its state, and why a group gets its paper."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class VolumeFigures:
    """What the reason of one volume is told from; lengths of sheets in um, benefits in page-equivalents."""

    state: str
    hold: str | None
    hazard_openings: int
    no_paper_openings: int
    wanted_openings: int
    sheets: int
    bare_for_room: int
    bare_for_papers: int
    best_benefit: float | None
    thinnest_um: int | None
    least_um: int | None
    added_um: int
    headroom_um: int
    by_angle_um: int
    by_growth_um: int
    wedge_limit_deg: float | None
    failing: str | None
    never_openings: int
    said_never: str | None


@dataclass(frozen=True)
class SheetFigures:
    """What the reason of a group's paper is told from; the rival is the best other paper permitted there."""

    hazards: str
    paper_name: str
    um: int
    benefit: float
    price: float | None
    is_buffered: bool
    rival: str | None
    rival_um: int | None
    rival_benefit: float | None
    rival_price: float | None
    is_rival_buffered: bool | None
    is_rival_better: bool
    is_rival_equal: bool
    headroom_um: int
    left_um: int
    said: str | None
    is_named: bool
    is_below_floor: bool
    is_opposite: bool
    is_to_be_reviewed: bool


@dataclass(frozen=True)
class Limits:
    """Figures of the policy that reasons name."""

    floor_benefit: float
    max_papers: int
    look_again: date


def volume_reason(volume: VolumeFigures, limits: Limits) -> str:
    """Why the volume is in its state."""
    sentences = {
        "on_hold": _on_hold,
        "nothing_needed": _nothing_needed,
        "treat_first": _treat_first,
        "no_paper": _no_paper,
        "no_headroom": _no_headroom,
        "prioritised": _prioritised,
        "covered": _covered,
    }
    return sentences[volume.state](volume, limits)


def sheet_reason(sheet: SheetFigures, limits: Limits) -> str:
    """Why the group gets this paper, and why not the best other one."""
    words = [_figures(sheet)]
    if sheet.said is not None:
        words.insert(0, sheet.said)
    if sheet.is_below_floor:
        words.append(
            f"below the floor of {losses(limits.floor_benefit)} a sheet, which the decision overrides"
        )
    words += [_against_rival(sheet, limits), *_remarks(sheet, limits)]
    return "; ".join(words)


def cheaper_reason(sheet: SheetFigures, limits: Limits) -> str:
    """Why the group gets the paper in the option that makes do with the cheapest one."""
    price = f" ({sheet.price:.2f} a square metre)" if sheet.price is not None else ""
    words = [_figures(sheet), f"in this option the cheapest paper that serves the volume alone{price}"]
    if sheet.said is not None:
        words.insert(0, sheet.said)
    return "; ".join([*words, *_remarks(sheet, limits)])


def plural(count: int, noun: str) -> str:
    """`1 opening`, `3 openings`."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def losses(benefit: float) -> str:
    """A benefit for reading, three decimals or three figures."""
    return f"{benefit:.3f}" if benefit >= 0.0095 else f"{benefit:.3g}"


def _figures(sheet: SheetFigures) -> str:
    avoided = f"{losses(sheet.benefit)} page losses avoided a sheet"
    return f"{sheet.hazards}: {sheet.paper_name}, {sheet.um} µm, {avoided}"


def _remarks(sheet: SheetFigures, limits: Limits) -> list[str]:
    """What a conservator should look at: opposite needs, and unbuffered sheets that will turn acid."""
    remarks = []
    if sheet.is_opposite:
        remarks.append(
            "opposite needs (pH-sensitive content beside staining matter), settled as unbuffered: "
            "a conservator should look at it"
        )
    if sheet.is_to_be_reviewed:
        month = f"{limits.look_again:%Y-%m}"
        remarks.append(f"unbuffered beside staining matter, it turns acid in time: look again by {month}")
    return remarks


def _on_hold(volume: VolumeFigures, _: Limits) -> str:
    hold = (volume.hold or "").replace("_", " ")
    return f"on hold ({hold}): not planned until a qualified person clears it"


def _nothing_needed(volume: VolumeFigures, limits: Limits) -> str:
    if volume.hazard_openings == 0:
        return "no opening has a hazard"
    if volume.best_benefit is None:
        return f"no sheet is planned by decision: {volume.said_never}"
    return (
        f"the best permitted sheet avoids {losses(volume.best_benefit)} page losses, "
        f"below the floor of {losses(limits.floor_benefit)} a sheet{_by_decision(volume)}"
    )


def _by_decision(volume: VolumeFigures) -> str:
    if not volume.never_openings:
        return ""
    return f"; {plural(volume.never_openings, 'opening')} without a sheet by decision ({volume.said_never})"


def _treat_first(volume: VolumeFigures, _: Limits) -> str:
    return (
        "split joint: it takes no added bulk before it is treated; "
        f"{plural(volume.wanted_openings, 'opening')} would gain from a sheet{_without_paper(volume)}"
    )


def _no_paper(volume: VolumeFigures, limits: Limits) -> str:
    others = volume.hazard_openings - volume.no_paper_openings - volume.never_openings
    floor = losses(limits.floor_benefit)
    below = f"; {others} more below the floor of {floor} a sheet" if others else ""
    failing = volume.failing or "the list has no paper"
    bare = plural(volume.no_paper_openings, "opening")
    return f"no paper suits {bare}: {failing}{below}{_by_decision(volume)}"


def _no_headroom(volume: VolumeFigures, _: Limits) -> str:
    over_um = -min(volume.by_angle_um, volume.by_growth_um)
    if over_um > 0:
        room = f"over its limit by {over_um} µm before anything is added"
    else:
        room = f"thickness left {volume.headroom_um} µm"
    return (
        f"{room} ({_binding_limit(volume)}), thinnest permitted sheet {volume.thinnest_um} µm; "
        f"{plural(volume.wanted_openings, 'opening')} would gain from a sheet{_without_paper(volume)}"
    )


def _prioritised(volume: VolumeFigures, limits: Limits) -> str:
    causes = []
    if volume.bare_for_room:
        left_um = volume.headroom_um - volume.added_um
        causes.append(
            f"{volume.bare_for_room} for headroom (thickness left {left_um} of {volume.headroom_um} µm, "
            f"{_binding_limit(volume)}; thinnest sheet that would serve {volume.least_um} µm)"
        )
    if volume.bare_for_papers:
        causes.append(
            f"{volume.bare_for_papers} for the paper limit "
            f"({plural(limits.max_papers, 'paper')} a volume, and those taken do not suit them)"
        )
    return (
        f"{volume.sheets} of {plural(volume.wanted_openings, 'opening')} served, greatest benefit first; "
        f"without a sheet: {', '.join(causes)}{_without_paper(volume)}{_by_decision(volume)}"
    )


def _covered(volume: VolumeFigures, limits: Limits) -> str:
    planned_or_bare = volume.no_paper_openings + volume.wanted_openings + volume.never_openings
    below = volume.hazard_openings - planned_or_bare
    rest = f"; {below} more below the floor of {losses(limits.floor_benefit)} a sheet" if below else ""
    left_um = volume.headroom_um - volume.added_um
    whole = "every opening" if volume.wanted_openings != 1 else "the one opening"
    return (
        f"{whole} whose best sheet reaches the floor gets one ({plural(volume.sheets, 'sheet')}); "
        f"thickness left {left_um} of {volume.headroom_um} µm{rest}{_without_paper(volume)}{_by_decision(volume)}"
    )


def _without_paper(volume: VolumeFigures) -> str:
    if not volume.no_paper_openings:
        return ""
    failing = f" ({volume.failing})" if volume.failing else ""
    return f"; {plural(volume.no_paper_openings, 'opening')} without a permitted paper{failing}"


def _binding_limit(volume: VolumeFigures) -> str:
    if volume.wedge_limit_deg is not None and volume.by_angle_um <= volume.by_growth_um:
        return f"by wedge angle, limit {volume.wedge_limit_deg:g}°"
    return "by growth of the spine"


def _against_rival(sheet: SheetFigures, limits: Limits) -> str:
    if sheet.rival is None or sheet.rival_um is None or sheet.rival_benefit is None:
        return "no other paper is permitted here"
    if sheet.is_named:
        return f"{sheet.rival} would avoid {losses(sheet.rival_benefit)}"
    if sheet.is_rival_better:
        return _less_than_rival(sheet, sheet.rival_um, limits)
    if sheet.is_rival_equal:
        return f"as much as {sheet.rival}, {_tie(sheet, sheet.rival_um)}"
    return f"the next best, {sheet.rival}, would avoid {losses(sheet.rival_benefit)}"


def _less_than_rival(sheet: SheetFigures, rival_um: int, limits: Limits) -> str:
    would = f"{sheet.rival} would avoid {losses(sheet.rival_benefit or 0)}"
    extra_um = rival_um - sheet.um
    if extra_um <= sheet.left_um:
        return f"{would} but would be one paper more than the {limits.max_papers} a volume may have"
    fewer = sheet.headroom_um // sheet.um - sheet.headroom_um // rival_um
    if fewer > 0:
        few = plural(fewer, "fewer sheet")
        return f"{would} but is {rival_um} µm: {few} would fit the {sheet.headroom_um} µm"
    return f"{would} but is {extra_um} µm thicker, and {sheet.left_um} µm are left"


def _tie(sheet: SheetFigures, rival_um: int) -> str:
    """Which rule settled an equal benefit: buffering, then bulk, then cost; else the number of papers."""
    one_more = "which would be one more paper"
    if sheet.is_buffered and not sheet.is_rival_buffered:
        return "and buffered, which is preferred"
    if sheet.is_rival_buffered and not sheet.is_buffered:
        extra_um = rival_um - sheet.um
        too_thick = f"which is buffered but {extra_um} µm thicker, and {sheet.left_um} µm are left"
        return too_thick if extra_um > sheet.left_um else f"{one_more}, though buffered"
    if sheet.um != rival_um:
        return f"and thinner ({sheet.um} against {rival_um} µm)" if sheet.um < rival_um else one_more
    if sheet.price == sheet.rival_price:
        return "which is as thick and as dear"
    return "and cheaper" if _is_cheaper(sheet) else one_more


def _is_cheaper(sheet: SheetFigures) -> bool:
    if sheet.price is None:
        return False
    return sheet.rival_price is None or sheet.price < sheet.rival_price
