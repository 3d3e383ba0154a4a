"""Sentences that name the rule and the figure: why a volume has its state, and why a group gets its paper."""

from dataclasses import dataclass


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


@dataclass(frozen=True)
class Limits:
    """Figures of the policy that reasons name."""

    floor_benefit: float
    max_papers: int


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
    return f"{_figures(sheet)}; {_against_rival(sheet, limits)}"


def cheaper_reason(sheet: SheetFigures) -> str:
    """Why the group gets the paper in the option that makes do with the cheapest one."""
    price = f" ({sheet.price:.2f} a square metre)" if sheet.price is not None else ""
    return f"{_figures(sheet)}; in this option the cheapest paper that serves the volume alone{price}"


def plural(count: int, noun: str) -> str:
    """`1 opening`, `3 openings`."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def losses(benefit: float) -> str:
    """A benefit for reading, three decimals or three figures."""
    return f"{benefit:.3f}" if benefit >= 0.0095 else f"{benefit:.3g}"


def _figures(sheet: SheetFigures) -> str:
    avoided = f"{losses(sheet.benefit)} page losses avoided a sheet"
    return f"{sheet.hazards}: {sheet.paper_name}, {sheet.um} µm, {avoided}"


def _on_hold(volume: VolumeFigures, _: Limits) -> str:
    hold = (volume.hold or "").replace("_", " ")
    return f"on hold ({hold}): not planned until a qualified person clears it"


def _nothing_needed(volume: VolumeFigures, limits: Limits) -> str:
    if volume.hazard_openings == 0 or volume.best_benefit is None:
        return "no opening has a hazard"
    return (
        f"the best permitted sheet avoids {losses(volume.best_benefit)} page losses, "
        f"below the floor of {losses(limits.floor_benefit)} a sheet"
    )


def _treat_first(volume: VolumeFigures, _: Limits) -> str:
    return (
        "split joint: it takes no added bulk before it is treated; "
        f"{plural(volume.wanted_openings, 'opening')} would gain from a sheet{_without_paper(volume)}"
    )


def _no_paper(volume: VolumeFigures, limits: Limits) -> str:
    others = volume.hazard_openings - volume.no_paper_openings
    floor = losses(limits.floor_benefit)
    below = f"; {others} more below the floor of {floor} a sheet" if others else ""
    failing = volume.failing or "the list has no paper"
    return f"no paper suits {plural(volume.no_paper_openings, 'opening')}: {failing}{below}"


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
        f"without a sheet: {', '.join(causes)}{_without_paper(volume)}"
    )


def _covered(volume: VolumeFigures, limits: Limits) -> str:
    below = volume.hazard_openings - volume.no_paper_openings - volume.wanted_openings
    rest = f"; {below} more below the floor of {losses(limits.floor_benefit)} a sheet" if below else ""
    left_um = volume.headroom_um - volume.added_um
    whole = "every opening" if volume.wanted_openings != 1 else "the one opening"
    return (
        f"{whole} whose best sheet reaches the floor gets one ({plural(volume.sheets, 'sheet')}); "
        f"thickness left {left_um} of {volume.headroom_um} µm{rest}{_without_paper(volume)}"
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
