"""prusa-slicer on brackets as the tool makes them, at several layer heights: where layers fall decides what it sees."""

import pytest
from made import kept
from slicer import needs_slicer, support_mm

pytestmark = [pytest.mark.slicer, pytest.mark.solid, needs_slicer]

LYING = (
    {"board": "37.8", "throw": "2.79", "scale": "HO", "max_depth": 100},
    {"servo": "standard-40g", "board": "12", "throw": "4", "scale": "O", "max_depth": 100},
)


@pytest.mark.parametrize("request_", LYING, ids=["micro-9g", "standard-40g"])
def test_no_support_in_lying_holes(request_, tmp_path):
    """Pivot, fixing holes and countersinks lie in print: none at 0.15, 0.2 and 0.25 mm layers.

    Both were seen to get it when roofs ended in a flat and the pivot's land in a ridge.
    """
    path = tmp_path / "part.stl"
    path.write_bytes(kept({"lie": "down"}, **request_).stl[0])

    assert {height: support_mm(path, "--layer-height", height) for height in ("0.15", "0.2", "0.25")} == {
        "0.15": 0.0,
        "0.2": 0.0,
        "0.25": 0.0,
    }
