"""Lengths as the lab writes them."""

from pipeline.outputs.lengths import Lengths


def test_millimetres_drop_empty_decimals() -> None:
    lengths = Lengths("mm")
    assert lengths.text(287.5) == "287.5 mm"
    assert lengths.text(300.0) == "300 mm"
    assert lengths.pair(207.0, 294.5) == "207 × 294.5 mm"
    assert lengths.thickness(33.52) == "33.5 mm"
    assert lengths.value(None) is None


def test_centimetres_and_inches() -> None:
    assert Lengths("cm").text(287.5) == "28.75 cm"
    assert Lengths("in").text(288.925) == "11 3/8 in"
    assert Lengths("in").pair(288.925, 25.4) == "11 3/8 × 1 in"
    assert Lengths("in").thickness(33.52) == "1.320 in"
    assert Lengths("in").value(25.4) == 1.0
    assert Lengths("in").number_format == "# ??/32"
