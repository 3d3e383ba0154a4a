"""What `explain` says of volumes in every kind of trouble, on a plan made without its cutting and its people."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from pipeline.contracts import TABLES
from pipeline.errors import FileProblemError
from pipeline.explain import draw_volume, explain_volume
from pipeline.folder import STORE_NAME
from pipeline.resources import sql_text
from pipeline.stages.choose import PLACE_READS, place_sheets
from pipeline.stages.fit import NEEDS_READS, fit_volumes
from pipeline.store import Store
from tests.builders import policy_frames, settings
from tests.rows import OF_THE_LEDGER, merged, opening_row, row
from tests.solve.test_fit_needs import BUF, SELECTS, Tables, papers, volumes

LIMP = BUF | {"paper_id": "LIMP", "bending_stiffness_mnm": None, "thickness_um": 40.0, "grammage_gsm": 20.0}
UNBUFFERED = BUF | {"paper_id": "UNB", "buffer": "unbuffered", "ph": 7.0}
# by growth: 0.15 x 2 mm = 300 um, two sheets of 120 um
TIGHT: dict[str, Any] = {"spine_thickness_mm": 2.0, "fore_edge_thickness_mm": 2.0}
PARTS = (
    papers(BUF, LIMP, UNBUFFERED),
    volumes("A", **TIGHT, title="Cuttings"),
    opening_row(2, openings=((1, 4),)),
    volumes("B", joints="weak", fore_edge_thickness_mm=40.0),
    opening_row(3, openings=((1, 1),), volume_id="B"),
    volumes("C", joints="split"),
    opening_row(4, openings=((1, 2),), volume_id="C"),
    volumes("D", hold="mould"),
    opening_row(5, openings=((1, 1),), volume_id="D"),
    volumes("E"),
    opening_row(6, openings=((7, 7),), left="cyanotype", right="print", volume_id="E"),
    opening_row(7, openings=((8, 8),), volume_id="E"),
    volumes("F"),
    {"clean.count_groups": [row("clean.count_groups", volume_id="F", has_counts_overlaid=True)]},
    {
        "clean.decisions": [
            row(
                "clean.decisions",
                row_no=2,
                volume_id="E",
                openings="8",
                decision="never",
                by="K",
                reason="loose",
            )
        ]
    },
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plan's folder with the tables that an explanation reads."""
    made = tmp_path_factory.mktemp("plan")
    with Store(made / STORE_NAME) as store:
        _fill(store, merged(*PARTS))
    return made


def _fill(store: Store, given: Tables) -> None:
    given = {"clean.campaign": [row("clean.campaign")]} | given
    for name, frame in policy_frames().items():
        store.write(name, frame)
    for name, table in TABLES.items():
        if name.startswith(("clean.", "published.")):
            store.write(name, table.frame(given.get(name, [])))
    for name in OF_THE_LEDGER:
        store.write(name, TABLES[name].empty())
    for step in SELECTS:
        _run(store, "work", *step.split("/"))
    for name, frame in fit_volumes({name: store.read(name) for name in NEEDS_READS}, settings()).items():
        store.write(name, frame)
    best = store.query("select volume_id, max(option_no) as option_no from work.options group by volume_id")
    choices = [choice | {"is_funded": True, "reason": ""} for choice in best.to_dicts()]
    store.write("work.choices", TABLES["work.choices"].frame(choices))
    for name, frame in place_sheets({name: store.read(name) for name in PLACE_READS}, settings()).items():
        store.write(name, frame)
    for stem in ("option_bulk", "volume_plans"):
        _run(store, "work", "06_choose", stem)
    for stem in ("volumes", "opening_groups", "interleaves"):
        _run(store, "published", "11_publish", stem)
    store.write("published.options", TABLES["published.options"].frame(list(_options(store))))
    store.write("published.run", TABLES["published.run"].frame([_run_row()]))


def _run(store: Store, schema: str, stage: str, stem: str) -> None:
    store.run_sql(f"{schema}.{stem}", sql_text(stage, stem))


def _options(store: Store) -> Iterator[dict[str, Any]]:
    """Every option at an hour and a unit of money a sheet; the first sheet of A is all it got."""
    options = store.read("work.options").select("volume_id", "option_no", "sheets", "benefit").to_dicts()
    last = {option["volume_id"]: option["option_no"] for option in options}
    for option in options:
        sheets = option["sheets"]
        is_last = option["option_no"] == last[option["volume_id"]]
        is_chosen = sheets == 1 if option["volume_id"] == "A" else is_last
        yield option | {"hours": float(sheets), "cost": float(sheets), "chosen": is_chosen}


def _run_row() -> dict[str, Any]:
    given = settings()
    return {
        "revision": "r1",
        "as_of": given.as_of,
        "guardleaf_version": "1",
        "inventory_sha256": "x",
        "policy_sha256": "x",
        "planned_at": datetime(2027, 1, 4),
        "length_unit": "mm",
        "currency": "EUR",
        "start_date": given.as_of,
        "end_date": given.as_of,
    }


def told(folder: Path, volume_id: str) -> str:
    return "\n".join(explain_volume(folder, volume_id))


def test_a_tight_volume_says_what_is_short_and_what_would_help(folder: Path) -> None:
    text = told(folder, "A")
    assert "A (Cuttings), Trial" in text
    assert "Headroom 300 µm: by wedge angle 13092 µm (limit 3°), by growth 300 µm; the lesser counts" in text
    assert "2 openings without a sheet: thickness left 60 µm, thinnest permitted sheet 120 µm" in text
    assert (
        "The next step, 2 sheets in all, would avoid 0.129 more page losses for about 1.0 hours and 1.00 EUR"
        in text
    )
    assert (
        "The best sheet that finds no room (BUF, no. 1-4) would avoid 0.129 page losses; 60 µm are short: 0.060 mm"
        in text
    )
    assert "1 mm more extension (headroom 1300 µm): +2 sheets, 0.259 more page losses avoided" in text
    assert "guards at the spine (headroom 600 µm): +2 sheets" in text
    assert (
        "a paper not in the list: buffered paper of 90 µm, passed PAT, free of sulphur and lignin: +1 sheet"
        in text
    )
    assert "LIMP: not permitted, too limp: bending length" in text
    assert "UNB: permitted, a sheet avoids 0.095 page losses" in text


def test_a_volume_over_its_limit_says_by_how_much_and_what_treatment_gives(folder: Path) -> None:
    # S + 2 w tan(0.75 deg) - F = 20 + 6.545 - 40 mm
    text = told(folder, "B")
    assert "over its wedge limit by 13455 µm before anything is added" in text
    assert "13575 µm are short: 13.575 mm more extension would let it in" in text
    assert (
        "Would not be enough alone: joints made sound (limit 3°, headroom 0 µm); guards at the spine" in text
    )
    assert "What would change" not in text


def test_a_split_joint_says_what_its_repair_would_give(folder: Path) -> None:
    text = told(folder, "C")
    assert "The joint is split: no bulk may be added before it is treated." in text
    assert "joints made sound (limit 3°, headroom 3000 µm): +2 sheets" in text


def test_a_volume_on_hold_is_not_tried(folder: Path) -> None:
    text = told(folder, "D")
    assert "1 opening without a sheet: the volume is on hold (mould)" in text
    assert "What would change" not in text


def test_opposite_needs_review_and_decision(folder: Path) -> None:
    text = told(folder, "E")
    assert "opposite needs: pH-sensitive content asks for unbuffered paper" in text
    assert "look again by 2032-01" in text
    assert "1 opening without a sheet: the surveyor (K) asks for no sheet here: loose" in text


def test_counts_without_places_and_guessed_content(folder: Path) -> None:
    text = told(folder, "F")
    assert "from the volume's counts" in text
    assert "the counts fit the volume only with different hazards in the same openings" in text
    assert "photographs are taken as possible" in text


def test_the_drawing_is_a_picture_and_is_told_in_words(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "wedge.png"
    words = draw_volume(folder, "A", file)
    assert "wedge 0.0 degrees before" in words
    with Image.open(file) as picture:
        assert picture.format == "PNG"
        assert len(picture.convert("L").getcolors() or []) > 1


def test_an_unknown_volume_names_the_nearest(folder: Path) -> None:
    with pytest.raises(FileProblemError, match="no volume AA; did you mean A"):
        explain_volume(folder, "AA")
