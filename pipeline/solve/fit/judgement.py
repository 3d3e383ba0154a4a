"""Benefits, permission and headroom in arrays, for one set of policy figures or for many at once.

The SELECTs of 03 risk, 04 paper and 05 headroom say the same in rows; here every figure is a column of
`values`, so that a changed figure or an invented paper costs one more row. Tests hold both ways against each
other. Formulas: trade model, sections 3 to 5.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import polars as pl

from pipeline.contracts.fields import MECHANISMS
from pipeline.solve.fit.problem import BoolArray, IntArray
from pipeline.units import FLOOR_GUARD, UM_PER_MM, YEARS_PER_CENTURY

FloatArray = npt.NDArray[np.float64]
_ODOUR = "risk.odour_loss_rate_per_century"
_PROPERTIES = 5
_BUFFER_RULE = {"buffered_only": 1, "unbuffered_only": 2}


@dataclass(frozen=True)
class Figures:
    """The policy's numbers in the order of their keys, and two more places: nothing and one."""

    keys: tuple[str, ...]
    values: FloatArray

    @property
    def nothing(self) -> int:
        """Place of the constant 0."""
        return len(self.keys)

    @property
    def one(self) -> int:
        """Place of the constant 1."""
        return len(self.keys) + 1

    def place(self, key: str) -> int:
        """Place of a key. Raises KeyError when the policy has no such number."""
        return self.places[key]

    @cached_property
    def places(self) -> dict[str, int]:
        """Place of every key."""
        return {key: place for place, key in enumerate(self.keys)}


@dataclass(frozen=True, kw_only=True)
class Risk:
    """Rates by group and mechanism as places of figures; `words` holds the content words of the pages faced."""

    group: IntArray
    mechanism: IntArray
    base: IntArray
    severity: IntArray
    words: IntArray
    use: IntArray
    significance: IntArray
    horizon_centuries: float

    @property
    def groups(self) -> int:
        """Number of groups."""
        return len(self.significance)


@dataclass(frozen=True, kw_only=True)
class PaperFacts:
    """Papers as rules see them: what each is, how stiff, and the figures of its efficacy by mechanism."""

    is_permanent: BoolArray
    is_buffered: BoolArray
    is_adsorbent: BoolArray
    is_pat_passed: BoolArray
    is_sulphur_free: BoolArray
    is_release: BoolArray
    bending_length_mm: FloatArray
    is_stiffness_measured: BoolArray
    efficacy: IntArray
    """Places of figures by mechanism, paper and property; the greatest counts."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What each group asks of a paper, and which papers a stock gives in the volume's size."""

    needs_pat: BoolArray
    needs_sulphur_free: BoolArray
    needs_unbuffered: BoolArray
    needs_release: BoolArray
    allows_adsorbent: BoolArray
    needs_care: BoolArray
    buffer_rule: IntArray
    page_width_mm: FloatArray
    is_reached: BoolArray


@dataclass(frozen=True, kw_only=True)
class Bulk:
    """Measurements of the volumes, mm, and the places of their limits; no place for a split joint."""

    spine_mm: FloatArray
    fore_edge_mm: FloatArray
    extension_mm: FloatArray
    page_width_mm: FloatArray
    removed_mm: FloatArray
    wedge: IntArray
    growth: IntArray
    is_planned: BoolArray


def read_figures(frames: Mapping[str, pl.DataFrame]) -> Figures:
    """The policy's numbers, by key."""
    frame = frames["policy.figures"].sort("key")
    values = np.concatenate([frame["value"].to_numpy().astype(np.float64), [0.0, 1.0]])
    return Figures(tuple(frame["key"].to_list()), values)


def read_risk(frames: Mapping[str, pl.DataFrame], groups: pl.DataFrame, figures: Figures) -> Risk:
    """Rates of `groups` (volume_id, group_no, group): one entry per row of work.hazard_rates."""
    handled = {key.split(".")[1] for key in figures.keys if key.endswith(".is_worsened_by_handling")}
    handled = {name for name in handled if figures.values[figures.place(_handling(name))] > 0}
    volumes = frames["clean.volumes"].select("volume_id", "use", "significance")
    rows = (
        frames["work.hazard_rates"]
        .join(groups.select("volume_id", "group_no", "group"), on=["volume_id", "group_no"])
        .join(frames["work.opening_groups"], on=["volume_id", "group_no"])
        .join(volumes, on="volume_id")
        .sort("group", "hazard", "side", "mechanism")
    )
    is_odour = pl.col("hazard") == "odour"
    keys = rows.select(
        base=pl.when(is_odour)
        .then(pl.lit(_ODOUR))
        .otherwise(pl.format("hazard.{}.{}_rate_per_century", "hazard", "mechanism")),
        severity=pl.format("severity.{}.factor", "severity_grade"),
        use=pl.when(pl.col("mechanism").is_in(sorted(handled)) & ~is_odour).then(
            pl.format("use.{}.factor", "use")
        ),
    )
    weights = groups.select("group", "volume_id").join(volumes, on="volume_id").sort("group")
    horizon = frames["clean.campaign"]["horizon_years"].item() / YEARS_PER_CENTURY
    return Risk(
        group=_whole(rows["group"]),
        mechanism=np.array([MECHANISMS.index(name) for name in rows["mechanism"]], dtype=np.int64),
        base=_looked_up(keys["base"], figures.places, figures.one),
        severity=_looked_up(keys["severity"], figures.places, figures.one),
        words=_words(rows, figures),
        use=_looked_up(keys["use"], figures.places, figures.one),
        significance=_looked_up(
            weights.select(pl.format("significance.{}.weight", "significance")).to_series(),
            figures.places,
            figures.nothing,
        ),
        horizon_centuries=horizon,
    )


def read_papers(papers: pl.DataFrame, figures: Figures) -> PaperFacts:
    """Facts of papers: the columns of clean.papers with bending_length_mm."""
    least_ph = figures.values[figures.place("paper.least_ph")]
    rows = papers.select("surface", "buffer", "adsorbent", "pat").to_dicts()
    efficacy = [
        [[_efficacy_place(mechanism, name, figures) for name in _properties(row)] for row in rows]
        for mechanism in MECHANISMS
    ]
    return PaperFacts(
        is_permanent=_truth(
            papers.select(pl.col("lignin_free") & ~pl.col("glassine") & (pl.col("ph") >= least_ph))
        ),
        is_buffered=_truth(papers.select(pl.col("buffer") == "buffered")),
        is_adsorbent=_truth(papers.select("adsorbent")),
        is_pat_passed=_truth(papers.select(pl.col("pat") == "pass")),
        is_sulphur_free=_truth(papers.select(pl.col("sulphur_free") == "yes")),
        is_release=_truth(papers.select(pl.col("surface") == "release")),
        bending_length_mm=papers["bending_length_mm"].to_numpy().astype(np.float64),
        is_stiffness_measured=_truth(papers.select(pl.col("bending_stiffness_mnm").is_not_null())),
        efficacy=np.array(efficacy, dtype=np.int64).reshape(len(MECHANISMS), len(rows), _PROPERTIES),
    )


def read_asked(frames: Mapping[str, pl.DataFrame], groups: pl.DataFrame, paper_ids: Sequence[str]) -> Asked:
    """What `groups` ask, in their order."""
    volumes = frames["clean.volumes"].select("volume_id", "buffer_rule", "page_width_mm")
    rows = (
        groups.select("volume_id", "group_no", "group")
        .join(frames["work.group_needs"], on=["volume_id", "group_no"])
        .join(volumes, on="volume_id")
        .sort("group")
    )
    ids = volumes["volume_id"].to_list()
    reach = _reach(frames["work.stock_reach"], ids, paper_ids)
    places = {volume_id: place for place, volume_id in enumerate(ids)}
    volume = _looked_up(rows["volume_id"], places, 0)
    rules = [_BUFFER_RULE.get(rule or "", 0) for rule in rows["buffer_rule"]]
    return Asked(
        needs_pat=_truth(rows.select("needs_pat")),
        needs_sulphur_free=_truth(rows.select("needs_sulphur_free")),
        needs_unbuffered=_truth(rows.select("needs_unbuffered")),
        needs_release=_truth(rows.select("needs_release")),
        allows_adsorbent=_truth(rows.select("allows_adsorbent")),
        needs_care=_truth(rows.select("needs_care")),
        buffer_rule=np.array(rules, dtype=np.int64),
        page_width_mm=rows["page_width_mm"].to_numpy().astype(np.float64),
        is_reached=reach[volume],
    )


def read_bulk(frames: Mapping[str, pl.DataFrame], volumes: pl.DataFrame, figures: Figures) -> Bulk:
    """Measurements of `volumes` (volume_id, volume, is_planned), in their order."""
    rows = (
        volumes.select("volume_id", "volume", "is_planned")
        .join(frames["clean.volumes"], on="volume_id")
        .sort("volume")
    )
    wedge = rows.select(pl.format("binding.{}.{}_wedge_limit_deg", "binding", "joints")).to_series()
    growth = rows.select(pl.format("binding.{}.growth_frac", "binding")).to_series()
    removed_um = (rows["existing_leaves"] * rows["existing_leaf_thickness_um"]).to_numpy()
    return Bulk(
        spine_mm=rows["spine_thickness_mm"].to_numpy(),
        fore_edge_mm=rows["fore_edge_thickness_mm"].to_numpy(),
        extension_mm=rows["extension_mm"].to_numpy(),
        page_width_mm=rows["page_width_mm"].to_numpy(),
        removed_mm=removed_um / UM_PER_MM,
        wedge=_looked_up(wedge, figures.places, figures.nothing),
        growth=_looked_up(growth, figures.places, figures.nothing),
        is_planned=_truth(rows.select("is_planned")),
    )


def sheet_benefits(risk: Risk, papers: PaperFacts, values: FloatArray) -> FloatArray:
    """Page losses that a sheet avoids, by set of figures (a row of `values`), group and paper."""
    rate = (
        values[:, risk.base]
        * values[:, risk.severity]
        * values[:, risk.words].max(axis=2, initial=0.0)
        * values[:, risk.use]
    )
    summed = np.zeros((risk.groups, len(MECHANISMS), len(values)))
    np.add.at(summed, (risk.group, risk.mechanism), rate.T)
    by_mechanism = np.moveaxis(summed, 2, 0)
    left = 1 - values[:, papers.efficacy].max(axis=3, initial=0.0)
    with_sheet = np.einsum("dgm,dmp->dgp", by_mechanism, left)
    without = by_mechanism.sum(axis=2)[:, :, None]
    loss_avoided = np.exp(-with_sheet * risk.horizon_centuries) - np.exp(-without * risk.horizon_centuries)
    weight = values[:, risk.significance][:, :, None]
    result: FloatArray = weight * np.maximum(loss_avoided, 0.0)
    return result


def may_lie(asked: Asked, papers: PaperFacts, figures: Figures, values: FloatArray) -> BoolArray:
    """Whether a paper may lie in a group, by set of figures, group and paper: the hard rules of section 4."""
    permitted = papers.is_permanent & asked.is_reached
    permitted &= ~papers.is_adsorbent | asked.allows_adsorbent[:, None]
    permitted &= papers.is_pat_passed | ~asked.needs_pat[:, None]
    permitted &= papers.is_sulphur_free | ~asked.needs_sulphur_free[:, None]
    permitted &= ~papers.is_buffered | ~asked.needs_unbuffered[:, None]
    permitted &= papers.is_release | ~asked.needs_release[:, None]
    permitted &= papers.is_buffered | (asked.buffer_rule != _BUFFER_RULE["buffered_only"])[:, None]
    permitted &= ~papers.is_buffered | (asked.buffer_rule != _BUFFER_RULE["unbuffered_only"])[:, None]
    modulus = values[:, figures.place("paper.elastic_modulus_gpa")]
    stiffer = np.cbrt(modulus / figures.values[figures.place("paper.elastic_modulus_gpa")])[:, None]
    bending_mm = papers.bending_length_mm * np.where(papers.is_stiffness_measured, 1.0, stiffer)
    plain = values[:, figures.place("paper.bending_per_width_frac")][:, None]
    careful = values[:, figures.place("paper.bending_per_width_careful_frac")][:, None]
    least_mm = asked.page_width_mm * np.where(asked.needs_care, careful, plain)
    result: BoolArray = permitted & (bending_mm[:, None, :] >= least_mm[:, :, None])
    return result


def headroom_um(bulk: Bulk, values: FloatArray) -> IntArray:
    """Headroom by set of figures and volume, um, rounded down; none where nothing may be planned."""
    angle = np.radians(values[:, bulk.wedge])
    by_angle_mm = bulk.spine_mm + bulk.extension_mm + 2 * bulk.page_width_mm * np.tan(angle / 2)
    by_angle_mm = by_angle_mm - bulk.fore_edge_mm + bulk.removed_mm
    by_growth_mm = values[:, bulk.growth] * bulk.spine_mm + bulk.extension_mm
    room = np.floor(np.minimum(by_angle_mm, by_growth_mm) * UM_PER_MM + FLOOR_GUARD)
    result: IntArray = np.where(bulk.is_planned, np.maximum(room, 0), 0).astype(np.int64)
    return result


def _handling(mechanism: str) -> str:
    return f"mechanism.{mechanism}.is_worsened_by_handling"


def _reach(stock_reach: pl.DataFrame, ids: Sequence[str], paper_ids: Sequence[str]) -> BoolArray:
    """Whether a stock of the paper gives a leaf of the volume's size, by volume and paper."""
    reached = stock_reach.filter(pl.col("is_reached") & pl.col("paper_id").is_in(list(paper_ids)))
    result = np.zeros((len(ids), len(paper_ids)), dtype=np.bool_)
    volume = _looked_up(reached["volume_id"], {name: place for place, name in enumerate(ids)}, 0)
    paper = _looked_up(reached["paper_id"], {name: place for place, name in enumerate(paper_ids)}, 0)
    result[volume, paper] = True
    return result


def _words(rows: pl.DataFrame, figures: Figures) -> IntArray:
    """Places of the vulnerabilities of the pages that a row's hazard faces; odour counts whole."""
    pages = rows.select(pl.col("hazard") == "odour", "side", "left_content", "right_content")
    kinds = pages.unique(maintain_order=True).with_row_index("kind")
    places = [_faced(*kind, figures=figures) for kind in kinds.drop("kind").iter_rows()]
    kind = pages.join(kinds, on=pages.columns, how="left", maintain_order="left")["kind"]
    return _padded(places, figures.nothing)[_whole(kind)]


def _faced(is_odour: bool, side: str, left: str, right: str, *, figures: Figures) -> list[int]:
    if is_odour:
        return [figures.one]
    faced = {"left": right, "right": left}.get(side, f"{left}, {right}")
    return [figures.place(f"content.{word}.vulnerability_frac") for word in sorted(set(faced.split(", ")))]


def _looked_up(keys: pl.Series, places: Mapping[str, int], otherwise: int) -> IntArray:
    """Places of the keys; `otherwise` where a key is empty or the policy has no such number."""
    found = keys.cast(pl.String).replace_strict(
        list(places), list(places.values()), default=otherwise, return_dtype=pl.Int64
    )
    return _whole(found.fill_null(otherwise))


def _padded(lists: Sequence[Sequence[int]], filler: int) -> IntArray:
    """Lists of places as rows of equal length, filled up at the end."""
    longest = max((len(part) for part in lists), default=1)
    rows = [[*part, *[filler] * (longest - len(part))] for part in lists]
    return np.array(rows, dtype=np.int64).reshape(len(rows), longest)


def _properties(paper: Mapping[str, object]) -> list[str]:
    """What an efficacy may depend on: _PROPERTIES names, blank where the paper has not got one."""
    adsorbent = "adsorbent" if paper["adsorbent"] else ""
    pat = "pat_pass" if paper["pat"] == "pass" else ""
    return ["any_sheet", str(paper["surface"]), str(paper["buffer"]), adsorbent, pat]


def _efficacy_place(mechanism: str, name: str, figures: Figures) -> int:
    return figures.places.get(f"efficacy.{mechanism}.{name}_frac", figures.nothing)


def _whole(column: pl.Series) -> IntArray:
    return column.cast(pl.Int64).to_numpy().copy()


def _truth(frame: pl.DataFrame) -> BoolArray:
    return frame.to_series().cast(pl.Boolean).to_numpy().copy()
