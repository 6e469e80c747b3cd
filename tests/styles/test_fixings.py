"""What the tool takes to fix a mount where no screw was asked for, over all boards, servos and styles; numbers only."""

import math

import pytest

from mounts.inputs.library import Library
from mounts.inputs.request import MountRequest
from mounts.inputs.resolve import resolve
from mounts.styles import _bracket, _housing_screws, settled, style_of, style_options
from mounts.styles._fixings import hold_n

LIBRARY = Library()
SHEETS = [round(4 + 0.5 * step, 1) for step in range(69)]  # 4 to 38 mm
BOARDS = [*SHEETS, *LIBRARY.names("board")]
HEADS = ((0.0, 0.0),) * 4


def _settled(style, board, servo, **options):
    spec = resolve(MountRequest(id="a", style=style, board=board, servo=servo, **options), LIBRARY)
    return spec, settled(spec, style_options(spec))


def _least_hold_n(spec):
    """Twice the servo's stall at its nearest arm hole."""
    return 2 * spec.servo.stall_torque_nmm / min(spec.servo.horn_radii_mm)


@pytest.mark.parametrize("servo", LIBRARY.names("servo"))
@pytest.mark.parametrize("set_", [{"lie": "across"}, {"lie": "down"}, {"plate_mm": 8.0}, {"plate_mm": 3.0}])
def test_every_board_holds_a_bracket_with_every_servo(servo, set_):
    """From below, nothing through: 2 mm of board over the point, two shanks of grip in wood or pad, twice the stall."""
    for board in BOARDS:
        asked, spec = _settled("under-bracket", board, servo, set=set_)
        options = style_options(spec)
        count = 3 if set_ == {"lie": "down"} else 4

        length = _bracket.screws(spec, options, HEADS)[0].length_mm

        deep = length - options.plate_mm
        assert spec.fixing.kind == "wood"
        assert length in spec.fixing.lengths_mm
        assert spec.board.thickness_mm - spec.board.under_mm - deep >= 2.0 - 1e-6, board
        assert deep >= 2 * spec.fixing.shank_mm - 1e-9, board
        hold = count * min(deep, spec.board.screw_depth_mm) * spec.fixing.shank_mm * spec.board.withdrawal_n_per_mm2
        assert hold >= _least_hold_n(spec), board
        assert spec.board.thickness_mm == pytest.approx(asked.board.thickness_mm + spec.pad_mm)
        assert spec.pad_mm in (0.0, 6.5, 9.0, 12.0)
        assert not spec.bonded
        assert settled(spec, options) == spec, "settling twice changes nothing"


@pytest.mark.parametrize(
    ("board", "from_above", "deep_mm", "thread_mm"),
    [
        # 30 mm of foam on 9 mm of plywood: from above the foam takes the first 30 mm, from below there is none
        ("xps-30-on-plywood-9", True, 29.0, 0.0),
        ("xps-30-on-plywood-9", True, 35.0, 5.0),
        ("xps-30-on-plywood-9", True, 39.0, 9.0),
        ("xps-30-on-plywood-9", False, 5.0, 5.0),
        ("xps-30-on-plywood-9", False, 20.0, 9.0),
        ("plywood-9", True, 5.0, 5.0),
        ("plywood-9", True, 20.0, 9.0),
    ],
)
def test_foam_on_top_holds_nothing(board, from_above, deep_mm, thread_mm):
    """Thread in plywood × shank 3 mm × 19.65·G²·0.7 N/mm² (standards, 7; G 0.42 from memory)."""
    spec = resolve(
        MountRequest(id="a", style="hut", board=board, screw="wood-3", scale="HO", servo="micro-9g"), Library()
    )

    found = hold_n(spec, deep_mm, from_above=from_above)

    assert found == pytest.approx(thread_mm * 3.0 * 19.65 * 0.42**2 * 0.7, rel=0.005)


def test_a_pad_is_taken_only_where_it_must_be():
    """For a 9 g servo: none from 8.3 mm up, where a 10 mm screw leaves its 2 mm; on bare foam always (standards, 4)."""
    for board in SHEETS:
        if board >= 8.3:
            assert _settled("under-bracket", board, "micro-9g")[1].pad_mm == 0.0, board
    for name in LIBRARY.names("board"):
        bare_foam = LIBRARY.board(name).screw_depth_mm == 0
        assert bare_foam <= (_settled("under-bracket", name, "micro-9g")[1].pad_mm >= 6), name


@pytest.mark.parametrize("servo", LIBRARY.names("servo"))
@pytest.mark.parametrize("set_", [{}, {"base_mm": 5.0}])
def test_every_board_holds_a_housing_with_every_servo(servo, set_):
    """From above: a wood screw in the wood, a bolt right through, or glue on foam; never less than twice the stall."""
    kinds = set()
    for board in BOARDS:
        _, spec = _settled("cabin", board, servo, set=set_)
        options = style_options(spec)
        base = _housing_screws.base_mm(spec, options)
        foam = spec.board.thickness_mm - spec.board.screw_depth_mm

        length = _housing_screws.screws(spec, base, HEADS)[0].length_mm

        deep = length - base
        kinds.add("bond" if spec.bonded else spec.fixing.kind)
        if spec.bonded:
            assert foam > 0, board
            assert deep <= spec.board.thickness_mm
            continue
        if spec.fixing.kind == "bolt":
            assert deep - spec.board.thickness_mm - spec.board.over_mm >= 0.5 + 2.4, "washer and nut"
            bearing = 4 * math.pi / 4 * (7.0**2 - 3.4**2) * 2.9
            assert bearing >= _least_hold_n(spec)
            continue
        assert spec.board.thickness_mm - spec.board.under_mm - deep >= 2.0 - 1e-6, board
        assert deep - foam >= 2 * spec.fixing.shank_mm - 1e-9, board
        hold = 4 * (deep - foam) * spec.fixing.shank_mm * spec.board.withdrawal_n_per_mm2
        assert hold >= _least_hold_n(spec), board
    assert kinds == {"wood", "bolt", "bond"}


@pytest.mark.parametrize("screw", ["no-6", "wood-3.5", "m3"])
def test_a_named_screw_stays_and_gets_a_pad_where_it_must(screw):
    """Thin plywood and a thick screw: the screw is the one asked for, the pad is what lets it grip."""
    _, spec = _settled("under-bracket", "4 mm", "micro-9g", screw=screw)

    assert spec.fixing.name == screw
    assert spec.pad_mm > 0
    assert _bracket.screws(spec, style_options(spec), HEADS)


def test_styles_say_how_they_are_fixed():
    """The bracket has its own rule, the housings share theirs."""
    housings = {style_of(name).fixed for name in ("hut", "cabin", "bank", "stack")}
    assert len(housings) == 1
    assert None not in housings
    assert style_of("under-bracket").fixed not in {None, *housings}
