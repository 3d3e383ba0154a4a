"""Options, reasons and states of small inventories, by hand."""

import itertools
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.errors import ContractError
from pipeline.frames import Frames
from pipeline.settings import Settings
from pipeline.stages.fit import FIT_READS, fit_volumes
from tests.rows import row

SETTINGS = Settings(
    inventory=Path("inventory"),
    out=Path("out"),
    as_of=date(2027, 1, 4),
    planned_at=datetime(2027, 1, 4, 9, tzinfo=UTC),
)
FIGURES = {
    "fit.benefit_floor_benefit": 0.005,
    "fit.max_papers_count": 2,
    "fit.unbuffered_review_years": 5,
    "choose.option_parts_count": 4,
}


def paper(paper_id: str, um: float, price: float | None = 1.0, **more: Any) -> dict[str, Any]:
    return row("clean.papers", paper_id=paper_id, **more) | {
        "effective_thickness_um": um,
        "bending_length_mm": 60.0,
        "price_per_m2": price,
    }


def group(
    openings: str | int, sheets: dict[str, float], missing: dict[str, str] | None = None, **more: Any
) -> dict[str, Any]:
    """A group of openings (list text, or a count): benefit by permitted paper, what other papers lack."""
    return {"openings": openings, "sheets": sheets, "missing": missing or {}, **more}


def volume(volume_id: str, headroom_um: int, *groups: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"volume_id": volume_id, "headroom_um": headroom_um, "groups": groups, "more": more}


def frames(papers: list[dict[str, Any]], *volumes: dict[str, Any], **figures: float) -> Frames:
    """The stage's tables of such volumes and papers."""
    rows: dict[str, list[dict[str, Any]]] = {name: [] for name in FIT_READS}
    for each in papers:
        rows["clean.papers"].append(
            {k: v for k, v in each.items() if k in TABLES["clean.papers"].column_names}
        )
        rows["work.paper_properties"].append(
            {k: v for k, v in each.items() if k in TABLES["work.paper_properties"].column_names}
        )
    rows["clean.campaign"].append(row("clean.campaign"))
    for each in volumes:
        _add_volume(rows, each)
    for key, value in (FIGURES | figures).items():
        rows["policy.figures"].append({"key": key, "value": float(value), "unit": "", "basis": "judgement"})
    return {name: TABLES[name].frame(rows[name]) for name in FIT_READS}


def _add_volume(rows: dict[str, list[dict[str, Any]]], each: dict[str, Any]) -> None:
    volume_id = each["volume_id"]
    rows["clean.volumes"].append(row("clean.volumes", volume_id=volume_id, **each["more"]))
    rows["work.headroom"].append(
        {
            "volume_id": volume_id,
            "by_angle_um": each["headroom_um"],
            "by_growth_um": each["headroom_um"] + 500,
            "removed_um": 0,
            "headroom_um": max(0, each["headroom_um"]),
            "wedge_limit_deg": 3.0,
        }
    )
    for group_no, one in enumerate(each["groups"], start=1):
        key = {"volume_id": volume_id, "group_no": group_no}
        listed = isinstance(one["openings"], str)
        rows["work.opening_groups"].append(
            key
            | {
                "openings": one["openings"] if listed else None,
                "first_opening_no": 1 if listed else None,
                "count": _count(one["openings"]),
                "left_content": "print",
                "right_content": "print",
                "hazards": one.get("hazards", "acidic_insert"),
                "severity": "2",
                "origin": "listed" if listed else "survey_count",
                "has_counts_overlaid": False,
                "decision_rows": one.get("decision_rows"),
            }
        )
        rows["work.group_needs"].append(
            key | {name: one.get(name, False) for name in TABLES["work.group_needs"].column_names[2:]}
        )
        for paper_id, benefit in one["sheets"].items():
            rows["work.benefits"].append(key | {"paper_id": paper_id, "benefit_per_sheet": benefit})
            rows["work.permitted"].append(key | {"paper_id": paper_id, "is_permitted": True, "missing": ""})
        for paper_id, text in one["missing"].items():
            rows["work.permitted"].append(
                key | {"paper_id": paper_id, "is_permitted": False, "missing": text}
            )


def _count(openings: str | int) -> int:
    if isinstance(openings, int):
        return openings
    edges = [part.split("-") for part in openings.split(", ")]
    return sum(int(edge[-1]) - int(edge[0]) + 1 for edge in edges)


def planned(given: Frames) -> Frames:
    """The stage's answer, each table checked against its contract."""
    answer = fit_volumes(given, SETTINGS)
    assert sorted(answer) == [
        "log.solve",
        "work.fit_groups",
        "work.fit_states",
        "work.option_sheets",
        "work.options",
    ]
    for name, frame in answer.items():
        TABLES[name].check(frame)
    return answer


def state(answer: Frames, volume_id: str = "A") -> dict[str, Any]:
    return answer["work.fit_states"].row(by_predicate=pl.col("volume_id") == volume_id, named=True)


BUF = paper("BUF", 92.0)
THIN = paper("THIN", 51.2, price=2.0)
ADS = paper("ADS", 147.0, price=5.0, adsorbent=True)


def test_all_openings_get_their_best_sheet_when_there_is_room() -> None:
    answer = planned(
        frames([BUF, ADS], volume("A", 1000, group("1-4", {"BUF": 0.04}), group("7, 9", {"BUF": 0.02})))
    )
    assert answer["work.options"].rows() == [
        ("A", 0, "none", 0, 0.0, 0),
        ("A", 1, "part", 2, pytest.approx(0.08), 184),
        ("A", 2, "part", 3, pytest.approx(0.12), 276),
        ("A", 3, "part", 5, pytest.approx(0.18), 460),
        ("A", 4, "all", 6, pytest.approx(0.20), 552),
    ]
    assert state(answer) == {
        "volume_id": "A",
        "state": "covered",
        "reason": "every opening whose best sheet reaches the floor gets one (6 sheets); "
        "thickness left 448 of 1000 µm",
        "hazard_openings": 6,
        "no_paper_openings": 0,
        "wanted_openings": 6,
        "benefit_possible": pytest.approx(0.20),
    }


def test_a_part_that_repeats_another_is_left_out() -> None:
    answer = planned(frames([BUF], volume("A", 200, group("1-4", {"BUF": 0.04}))))
    options = answer["work.options"]
    assert options["sheets"].to_list() == [0, 1, 2]
    assert options["option_kind"].to_list() == ["none", "part", "all"]


def test_parts_are_nested_and_sum_to_their_options() -> None:
    groups = [
        group(f"{no}", {"BUF": 0.01 + 0.003 * (no % 7), "THIN": 0.01 + 0.002 * (no % 5)}) for no in range(20)
    ]
    answer = planned(frames([BUF, THIN], volume("A", 1000, *groups)))
    options, sheets = answer["work.options"], answer["work.option_sheets"]
    sums = (
        sheets.group_by("volume_id", "option_no")
        .agg(pl.col("sheets").sum(), pl.col("benefit").sum())
        .join(options, on=["volume_id", "option_no"], suffix="_told")
    )
    assert sums.height == options.height - 1
    assert sums["sheets"].to_list() == sums["sheets_told"].to_list()
    assert sums["benefit"].to_list() == pytest.approx(sums["benefit_told"].to_list(), abs=1e-12)
    nested = options.filter(pl.col("option_kind") != "cheaper")["option_no"].to_list()
    for smaller, larger in itertools.pairwise(nested):
        part = sheets.filter(pl.col("option_no") == smaller).select("group_no", "paper_id", "sheets")
        whole = sheets.filter(pl.col("option_no") == larger).select("group_no", "paper_id", "sheets")
        kept = part.join(whole, on=["group_no", "paper_id"], suffix="_larger")
        assert kept.height == part.height
        assert (kept["sheets"] <= kept["sheets_larger"]).all()


def test_the_cheapest_paper_alone_is_an_option_of_its_own() -> None:
    first, second = group("1-4", {"BUF": 0.04}), group("7", {"BUF": 0.02, "ADS": 0.05})
    answer = planned(frames([BUF, ADS], volume("A", 600, first, second)))
    options = answer["work.options"]
    assert options["option_kind"].to_list() == ["none", "part", "part", "part", "cheaper", "all"]
    assert options.row(4) == ("A", 4, "cheaper", 5, pytest.approx(0.18), 460)
    assert options.row(5) == ("A", 5, "all", 5, pytest.approx(0.21), 515)
    rows = answer["work.option_sheets"].filter(option_no=4)
    assert rows["paper_id"].unique().to_list() == ["BUF"]
    assert "the cheapest paper that serves the volume alone (1.00 a square metre)" in rows["reason"][0]


def test_a_paper_of_unknown_price_is_never_the_cheaper_one() -> None:
    unpriced = paper("BUF", 92.0, price=None)
    first, second = group("1-4", {"BUF": 0.04}), group("7", {"BUF": 0.02, "ADS": 0.05})
    answer = planned(frames([unpriced, ADS], volume("A", 600, first, second)))
    assert "cheaper" not in answer["work.options"]["option_kind"].to_list()


def test_thickness_counts_in_whole_micrometres_rounded_up() -> None:
    answer = planned(frames([THIN], volume("A", 103, group("1-2", {"THIN": 0.04}))))
    assert answer["work.options"].row(-1) == ("A", 1, "all", 1, pytest.approx(0.04), 52)
    assert answer["work.option_sheets"]["thickness_um"].to_list() == [51.2]


def test_a_sheet_exactly_at_the_floor_is_wanted() -> None:
    answer = planned(
        frames([BUF], volume("A", 200, group("1", {"BUF": 0.005}), group("2", {"BUF": 0.00499})))
    )
    assert state(answer)["wanted_openings"] == 1
    assert answer["work.options"]["sheets"].to_list() == [0, 1]


@pytest.mark.parametrize(
    ("given", "expected", "words"),
    [
        (volume("A", 900), "nothing_needed", "no opening has a hazard"),
        (
            volume("A", 900, group("1", {"BUF": 0.0031})),
            "nothing_needed",
            "the best permitted sheet avoids 0.0031 page losses, below the floor of 0.005 a sheet",
        ),
        (
            volume("A", 900, group("1", {"BUF": 0.3}), hold="mould"),
            "on_hold",
            "on hold (mould): not planned until a qualified person clears it",
        ),
        (volume("A", 900, group("1", {"BUF": 0.001}), hold="nitrate", joints="split"), "on_hold", "nitrate"),
        (volume("A", 0, group("1", {"BUF": 0.001}), joints="split"), "nothing_needed", "below the floor"),
        (
            volume("A", 0, group("1-3", {"BUF": 0.3}), joints="split"),
            "treat_first",
            "split joint: it takes no added bulk before it is treated; 3 openings would gain from a sheet",
        ),
        (
            volume("A", 80, group("1-3", {"BUF": 0.3, "ADS": 0.4})),
            "no_headroom",
            "thickness left 80 µm (by wedge angle, limit 3°), thinnest permitted sheet 92 µm; "
            "3 openings would gain from a sheet",
        ),
        (
            volume("A", -140, group("1", {"BUF": 0.3})),
            "no_headroom",
            "over its limit by 140 µm before anything is added (by wedge angle, limit 3°), "
            "thinnest permitted sheet 92 µm; 1 opening would gain from a sheet",
        ),
        (
            volume("A", 200, group("1-3", {"BUF": 0.3})),
            "prioritised",
            "2 of 3 openings served, greatest benefit first; without a sheet: 1 for headroom (thickness left "
            "16 of 200 µm, by wedge angle, limit 3°; thinnest sheet that would serve 92 µm)",
        ),
        (
            volume(
                "A", 2000, group("1-3", {"BUF": 0.3}), group("4", {"ADS": 0.2}), group("5", {"THIN": 0.1})
            ),
            "prioritised",
            "4 of 5 openings served, greatest benefit first; without a sheet: 1 for the paper limit "
            "(2 papers a volume, and those taken do not suit them)",
        ),
    ],
)
def test_each_state_has_its_reason(given: dict[str, Any], expected: str, words: str) -> None:
    answer = planned(frames([BUF, ADS, THIN], given))
    assert state(answer)["state"] == expected
    assert words in state(answer)["reason"]


LIMP = "too limp: bending length 31.0 mm, the page asks for 48.0 mm"
CLASH = {
    "BUF": "buffered, beside pH-sensitive content",
    "ADS": f"the surveyor asks for buffered paper only; {LIMP}",
    "THIN": "the surveyor asks for buffered paper only",
}


def test_no_paper_names_what_most_openings_fail_on() -> None:
    answer = planned(
        frames([BUF, ADS, THIN], volume("A", 900, group(4, {}, CLASH), group("2", {"BUF": 0.001})))
    )
    assert state(answer) == {
        "volume_id": "A",
        "state": "no_paper",
        "reason": "no paper suits 4 openings: the surveyor asks for buffered paper only (2 of 3 papers); "
        "buffered, beside pH-sensitive content (1 of 3 papers); 1 more below the floor of 0.005 a sheet",
        "hazard_openings": 5,
        "no_paper_openings": 4,
        "wanted_openings": 0,
        "benefit_possible": 0.0,
    }


def test_openings_without_paper_are_counted_beside_covered_ones() -> None:
    answer = planned(
        frames([BUF, ADS, THIN], volume("A", 900, group(4, {}, CLASH), group("2", {"BUF": 0.1})))
    )
    found = state(answer)
    assert (found["state"], found["no_paper_openings"], found["wanted_openings"]) == ("covered", 4, 1)
    assert (
        "4 openings without a permitted paper (the surveyor asks for buffered paper only" in found["reason"]
    )


def test_benefit_possible_counts_whatever_the_headroom_and_state() -> None:
    groups = (group("1-3", {"BUF": 0.3, "ADS": 0.4}), group(2, {"BUF": 0.1}), group("9", {"BUF": 0.001}))
    answer = planned(
        frames(
            [BUF, ADS],
            volume("A", 0, *groups),
            volume("B", 0, *groups, hold="mould"),
            volume("C", 9000, *groups),
        )
    )
    assert answer["work.fit_states"]["benefit_possible"].to_list() == pytest.approx([1.4, 1.4, 1.4])
    assert answer["work.options"]["volume_id"].unique(maintain_order=True).to_list() == ["A", "C"]


@pytest.mark.parametrize(
    ("papers", "sheets", "headroom_um", "words"),
    [
        (
            [BUF],
            {"BUF": 0.04},
            200,
            "BUF (buffered), 92 µm, 0.040 page losses avoided a sheet; no other paper",
        ),
        ([BUF, THIN], {"BUF": 0.04, "THIN": 0.02}, 400, "the next best, THIN (buffered), would avoid 0.020"),
        (
            [BUF, ADS],
            {"BUF": 0.043, "ADS": 0.051},
            400,
            "ADS (buffered, adsorbent) would avoid 0.051 but is 147 µm: 2 fewer sheets would fit the 400 µm",
        ),
        (
            [BUF, THIN],
            {"BUF": 0.04, "THIN": 0.04},
            400,
            "as much as BUF (buffered), and thinner (52 against 92 µm)",
        ),
        (
            [BUF, paper("UNB", 60.0, buffer="unbuffered")],
            {"BUF": 0.04, "UNB": 0.04},
            400,
            "as much as UNB (unbuffered), and buffered, which is preferred",
        ),
        (
            [BUF, paper("DEAR", 92.0, price=3.0)],
            {"BUF": 0.04, "DEAR": 0.04},
            400,
            "as much as DEAR (buffered), and cheaper",
        ),
    ],
)
def test_each_sheet_says_why_this_paper(
    papers: list[dict[str, Any]], sheets: dict[str, float], headroom_um: int, words: str
) -> None:
    answer = planned(frames(papers, volume("A", headroom_um, group("1-4", sheets))))
    assert words in answer["work.option_sheets"]["reason"][-1]


def test_a_tie_decided_by_the_number_of_papers_says_so() -> None:
    groups = (group("1-9", {"BUF": 0.3}), group("10", {"BUF": 0.04, "THIN": 0.04}))
    answer = planned(frames([BUF, THIN], volume("A", 9000, *groups)))
    reason = answer["work.option_sheets"].filter(pl.col("group_no") == 2)["reason"][-1]
    assert reason.endswith("as much as THIN (buffered), which would be one more paper")


def test_a_tie_decided_by_bulk_says_what_is_left() -> None:
    unbuffered = paper("UNB", 60.0, buffer="unbuffered")
    answer = planned(frames([BUF, unbuffered], volume("A", 80, group("1", {"BUF": 0.04, "UNB": 0.04}))))
    words = "as much as BUF (buffered), which is buffered but 32 µm thicker, and 20 µm are left"
    assert answer["work.option_sheets"]["reason"][-1].endswith(words)


def test_a_better_paper_beyond_the_limit_of_papers_is_named() -> None:
    groups = (
        group("1-9", {"BUF": 0.3}),
        group("10-18", {"ADS": 0.3}),
        group("19", {"BUF": 0.04, "THIN": 0.05}),
    )
    answer = planned(frames([BUF, ADS, THIN], volume("A", 9000, *groups)))
    reason = answer["work.option_sheets"].filter(pl.col("group_no") == 3)["reason"][-1]
    assert (
        "THIN (buffered) would avoid 0.050 but would be one paper more than the 2 a volume may have" in reason
    )


def test_the_order_of_rows_changes_nothing() -> None:
    groups = [
        group(f"{no}", {"BUF": 0.01 + 0.003 * (no % 7), "THIN": 0.01 + 0.002 * (no % 5)}) for no in range(20)
    ]
    given = frames(
        [BUF, THIN, ADS], volume("A", 900, *groups), volume("B", 700, *groups[:7]), volume("C", 50)
    )
    turned = {name: frame.reverse() for name, frame in given.items()}
    first, second = planned(given), planned(turned)
    for name in ("work.options", "work.option_sheets", "work.fit_states"):
        assert first[name].equals(second[name])


def test_no_volumes_give_empty_tables() -> None:
    answer = planned(frames([BUF]))
    assert [answer[name].height for name in ("work.options", "work.option_sheets", "work.fit_states")] == [
        0,
        0,
        0,
    ]


def test_no_papers_leave_every_hazard_without_paper() -> None:
    answer = planned(frames([], volume("A", 900, group("1-2", {}))))
    assert state(answer)["reason"] == "no paper suits 2 openings: the list has no paper"


def test_openings_that_do_not_agree_with_their_count_are_our_fault() -> None:
    given = frames([BUF], volume("A", 900, group("1-2", {"BUF": 0.1})))
    given["work.opening_groups"] = given["work.opening_groups"].with_columns(count=pl.lit(3, dtype=pl.Int64))
    with pytest.raises(ContractError, match="openings and count"):
        planned(given)


def test_every_solve_is_logged_as_proven() -> None:
    log = planned(frames([BUF], volume("A", 900, group("1-2", {"BUF": 0.1}))))["log.solve"]
    assert log["status"].to_list() == ["optimal", "optimal"]
    assert log["objective"].to_list() == pytest.approx([0.2, 0.0])
    assert log["objective"].to_list() == log["bound"].to_list()


def test_twenty_thin_sheets_go_into_a_small_notebook_and_twenty_heavy_ones_do_not() -> None:
    # common practice: S = F = 12 mm, w = 150 mm, sewn, sound: by growth 0.15 x 12 mm = 1800 um
    openings = group("1-20", {"P": 0.1})
    thin = planned(frames([paper("P", 60.0)], volume("A", 1800, openings)))
    heavy = planned(frames([paper("P", 250.0)], volume("A", 1800, openings)))
    assert thin["work.options"]["sheets"].max() == 20
    assert heavy["work.options"]["sheets"].max() == 7


def decision(row_no: int, word: str, **more: Any) -> dict[str, Any]:
    return row("clean.decisions", row_no=row_no, decision=word, by="K", **more)


def decided(given: Frames, *decisions: dict[str, Any]) -> Frames:
    return planned(given | {"clean.decisions": TABLES["clean.decisions"].frame(list(decisions))})


def bare(answer: Frames, group_no: int) -> tuple[Any, ...]:
    return (
        answer["work.fit_groups"].filter(group_no=group_no).select("bare_openings", "cause", "reason").row(0)
    )


def test_a_sheet_asked_for_lies_below_the_floor_and_comes_first() -> None:
    groups = (
        group("1-2", {"BUF": 0.3}),
        group("3", {"BUF": 0.001}, decision_rows="2"),
        group("4", {"BUF": 0.001}),
    )
    answer = decided(frames([BUF], volume("A", 280, *groups)), decision(2, "must", openings="3"))
    assert answer["work.options"].rows() == [
        ("A", 0, "none", 0, 0.0, 0),
        ("A", 1, "part", 1, pytest.approx(0.001), 92),
        ("A", 2, "part", 2, pytest.approx(0.301), 184),
        ("A", 3, "all", 3, pytest.approx(0.601), 276),
    ]
    assert answer["work.option_sheets"].filter(option_no=1)["reason"].to_list() == [
        "the surveyor (K) asks for a sheet here: on display next year; acidic_insert: BUF (buffered), 92 µm, "
        "0.001 page losses avoided a sheet; below the floor of 0.005 a sheet, which the decision overrides; "
        "no other paper is permitted here"
    ]
    assert (state(answer)["state"], state(answer)["wanted_openings"]) == ("covered", 3)
    assert state(answer)["benefit_possible"] == pytest.approx(0.6)
    assert bare(answer, 3) == (
        1,
        "floor",
        "the best permitted sheet avoids 0.001 page losses, below the floor of 0.005",
    )


def test_no_sheet_lies_where_the_surveyor_says_never() -> None:
    groups = (group("1-2", {"BUF": 0.3}), group("3", {"BUF": 0.9}, decision_rows="2"))
    answer = decided(frames([BUF], volume("A", 900, *groups)), decision(2, "never", openings="3"))
    assert answer["work.options"]["sheets"].to_list()[-1] == 2
    assert state(answer)["state"] == "covered"
    assert state(answer)["reason"].endswith(
        "1 opening without a sheet by decision (the surveyor (K) asks for no sheet here: on display next year)"
    )
    assert bare(answer, 2)[:2] == (1, "decision")


def test_a_volume_of_nevers_needs_nothing() -> None:
    answer = decided(
        frames([BUF], volume("A", 900, group("3", {"BUF": 0.9}, decision_rows="2"))), decision(2, "never")
    )
    assert (state(answer)["state"], answer["work.options"].height) == ("nothing_needed", 1)
    assert state(answer)["reason"].startswith("no sheet is planned by decision: the surveyor (K)")


def test_the_paper_named_lies_there_though_another_is_better() -> None:
    given = frames([BUF, THIN], volume("A", 900, group("1-2", {"BUF": 0.3, "THIN": 0.2}, decision_rows="2")))
    answer = decided(given, decision(2, "paper", paper_id="THIN", reason="it lies flat"))
    sheets = answer["work.option_sheets"].filter(option_no=answer["work.options"]["option_no"].max())
    assert sheets["paper_id"].to_list() == ["THIN"]
    assert sheets["reason"][0].startswith(
        "the surveyor (K) names THIN here: it lies flat; acidic_insert: THIN"
    )
    assert sheets["reason"][0].endswith("; BUF (buffered) would avoid 0.300")


def test_a_paper_named_that_may_not_lie_there_breaks_no_hard_rule() -> None:
    given = frames(
        [BUF, THIN],
        volume(
            "A", 900, group("1-2", {"BUF": 0.3}, {"THIN": "glassine; pH 6.5 is below 7"}, decision_rows="2")
        ),
    )
    answer = decided(given, decision(2, "paper", paper_id="THIN"))
    found = state(answer)
    assert (found["state"], found["no_paper_openings"]) == ("no_paper", 2)
    words = "THIN, named by decision, may not lie there: glassine; pH 6.5 is below 7"
    assert found["reason"] == f"no paper suits 2 openings: {words}"
    assert bare(answer, 1) == (2, "paper", f"no paper may lie here: {words}")


def test_a_cheaper_option_keeps_the_surveyors_word() -> None:
    first = group("1-4", {"BUF": 0.04})
    second = group("7", {"ADS": 0.05}, decision_rows="2")
    given = frames([BUF, ADS], volume("A", 600, first, second))
    free = planned(frames([BUF, ADS], volume("A", 600, first, second | {"decision_rows": None})))
    assert "cheaper" in free["work.options"]["option_kind"].to_list()
    answer = decided(given, decision(2, "must", openings="7"))
    assert "cheaper" not in answer["work.options"]["option_kind"].to_list()
    assert answer["work.option_sheets"].filter(option_no=1)["paper_id"].to_list() == ["BUF", "ADS"]


@pytest.mark.parametrize(
    ("headroom_um", "words"),
    [
        (300, (1, "room", "thickness left 24 µm, thinnest permitted sheet 92 µm")),
        (-50, (4, "room", "over its limit by 50 µm before anything is added")),
    ],
)
def test_openings_left_bare_say_what_they_are_short_of(headroom_um: int, words: tuple[int, str, str]) -> None:
    answer = planned(frames([BUF], volume("A", headroom_um, group("1-4", {"BUF": 0.3}))))
    assert bare(answer, 1) == words


def test_openings_beyond_the_limit_of_papers_say_so() -> None:
    groups = (group("1-3", {"BUF": 0.3}), group("4", {"ADS": 0.2}), group("5", {"THIN": 0.1}))
    answer = planned(frames([BUF, ADS, THIN], volume("A", 2000, *groups)))
    assert bare(answer, 1) == (0, "", "")
    assert bare(answer, 3) == (
        1,
        "papers",
        "the papers taken (ADS and BUF) do not suit it, and another would be one more than the 2 papers "
        "a volume may have",
    )


def test_opposite_needs_and_unbuffered_sheets_are_flagged() -> None:
    unbuffered = paper("UNB", 60.0, buffer="unbuffered")
    groups = (
        group("1", {"UNB": 0.3}, needs_unbuffered=True, has_staining=True),
        group("2", {"UNB": 0.2}, has_staining=True),
        group("3", {"UNB": 0.1}),
    )
    reasons = planned(frames([unbuffered], volume("A", 900, *groups)))["work.option_sheets"].filter(
        option_no=3
    )
    opposite = "opposite needs (pH-sensitive content beside staining matter), settled as unbuffered"
    again = "look again by 2032-01"
    assert [(opposite in reason, again in reason) for reason in reasons["reason"]] == [
        (True, True),
        (False, True),
        (False, False),
    ]
