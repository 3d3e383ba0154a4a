"""A sampled survey in the funder report: estimated from n of N, with intervals where they can be told."""

from pathlib import Path
from typing import Any

import docx
import polars as pl
from openpyxl import load_workbook

from pipeline.contracts import TABLES
from pipeline.outputs.survey import SHEET, survey_sentences
from pipeline.outputs.write import write_outputs
from pipeline.published_plan import Plan
from tests.outputs.fake_plan import fake_store


def estimates(**overrides: Any) -> dict[str, pl.DataFrame]:
    row: dict[str, Any] = {
        "stratum": None,
        "measure": "sheets",
        "unit": "sheets",
        "volumes_surveyed": 13,
        "volumes_in_all": 1200,
        "value": 5400.0,
        "value_standard_error": 300.0,
        "value_low": 4900.4,
        "value_high": 5900.0,
        "volumes_to_survey": 260,
    } | overrides
    rows = [row, row | {"stratum": "thin", "volumes_in_all": 1000, "volumes_to_survey": None}]
    return {"published.survey_estimates": TABLES["published.survey_estimates"].frame(rows)}


def said(changes: dict[str, pl.DataFrame]) -> str:
    with fake_store(changes) as store:
        return " ".join(survey_sentences(Plan(store)))


def test_the_sentence_names_the_sample_and_the_whole() -> None:
    text = said(estimates())
    assert "Estimated from 13 of 1,200 volumes" in text
    assert "5,400 sheets (4,900 to 5,900)" in text
    assert "90 % intervals" in text


def test_without_an_interval_it_says_so() -> None:
    text = said(estimates(value_low=None, value_high=None, value_standard_error=None))
    assert "5,400 sheets" in text
    assert "no interval can be told" in text


def test_a_whole_survey_says_nothing_of_samples() -> None:
    assert said({}) == ""


def test_both_reports_say_estimated_from_n_of_all(tmp_path: Path) -> None:
    with fake_store(estimates()) as store:
        write_outputs(store, tmp_path)
    document = docx.Document(str(tmp_path / "funder_report.docx"))
    assert any("Estimated from 13 of 1,200 volumes" in paragraph.text for paragraph in document.paragraphs)
    lines = list(load_workbook(tmp_path / "funder_report.xlsx")[SHEET].iter_rows(values_only=True))
    whole = next(line for line in lines if line[0] == "all")
    assert whole[3:] == (13, 1200, 5400, 4900.4, 5900, 260)
