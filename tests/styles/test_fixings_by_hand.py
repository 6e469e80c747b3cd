"""What holds a mount, and which of several is taken: each rule alone, a hair inside its limit and a hair outside."""

from __future__ import annotations

import math

import pytest
from requests_for_drives import profile, request

from mounts.inputs.board import Board
from mounts.inputs.fixing import Fixing
from mounts.styles import _bracket, _fixings

WOOD, THICK, BOLT = (profile(Fixing, name) for name in ("wood-3", "wood-3.5", "bolt-m3"))
PLY = 19.65 * 0.42**2 * 0.7  # N/mm² of thread (standards, 7; G and 0.7 as the profiles have them)


def on(*, thick_mm=12.0, screw_mm=None, pull=3.0, under_mm=0.3, **asked):
    """A board with so much wood in it and so much pull, and what may be screwed into it."""
    board = profile(Board, "mdf-12").model_copy(update={
        "thickness_mm": thick_mm, "screw_depth_mm": thick_mm if screw_mm is None else screw_mm,
        "withdrawal_n_per_mm2": 0.0 if screw_mm == 0.0 else pull, "over_mm": 0.3, "under_mm": under_mm,
    })  # fmt: skip
    return request(board=board, **asked)


def test_a_pad_is_part_of_the_board():
    """Thicker, its thickness surer by 0.5 over and 0.7 under (EN 315, worst of the sheets), deeper for screws; its own
    pull where the board has none; 10 mm wider than the plate. Nothing at 0."""
    bare, wood = on(screw_mm=0.0), on(pull=1.7)

    assert _fixings.with_pad(wood, 0.0) is wood
    padded = _fixings.with_pad(wood, 6.5)
    assert padded.pad_mm == 6.5
    assert _bracket.pad_xy(padded, (-9.0, 5.0), (-7.0, 8.0))[0] == (-19.0, -17.0)
    assert (padded.board.thickness_mm, padded.board.screw_depth_mm) == (18.5, 18.5)
    assert (padded.board.over_mm, padded.board.under_mm) == pytest.approx((0.8, 1.0))
    assert padded.board.withdrawal_n_per_mm2 == 1.7
    twice = _fixings.with_pad(_fixings.with_pad(bare, 6.5), 9.0)
    assert (twice.pad_mm, twice.board.screw_depth_mm) == (15.5, 15.5)
    assert twice.board.withdrawal_n_per_mm2 == pytest.approx(PLY, rel=0.005)


def test_the_stall_pulls_at_the_nearest_hole_it_may_get():
    """micro-9g: 156.9 N·mm at 5 mm; at the hole that is asked for, or the one in use, less."""
    stall = request().servo.stall_torque_nmm

    assert _fixings.stall_n(request()) == pytest.approx(stall / 5.0)
    assert _fixings.stall_n(request(arm_hole_mm=9.0)) == pytest.approx(stall / 9.0)
    assert _fixings.stall_n(request(arm_hole_mm=9.0), 13.0) == pytest.approx(stall / 13.0)


def test_plastic_bears_0_85_of_its_strength():
    """Across its layers less than along them; what was not told bears anything."""
    spec = request()

    def bears(across, **strength):
        filament = spec.filament.model_copy(update=strength)
        return _fixings.bears_mpa(spec.model_copy(update={"filament": filament}), across=across)

    told = {"tensile_mpa": 40.0, "tensile_z_mpa": 20.0}
    assert (bears(False, **told), bears(True, **told)) == pytest.approx((34.0, 17.0))
    assert (bears(False, tensile_mpa=None), bears(True, tensile_z_mpa=None)) == (math.inf, math.inf)


def test_what_a_thread_a_frame_and_a_washer_hold():
    """Thread in wood × shank × pull, no more than there is wood; in a frame let into foam what is left of the plywood
    at its thinnest; a bolt by the ring of its washer across the grain, 2.9 N/mm² (425 psi; from memory)."""
    wood, framed = on(thick_mm=9.0), on(thick_mm=40.0, screw_mm=0.0, frame_mm=6.5)

    for deep, thread in ((4.0, 4.0), (9.0, 9.0), (11.0, 9.0), (-1.0, 0.0)):
        assert _fixings.hold_n(wood, deep, from_above=False) == pytest.approx(thread * 3.0 * 3.0)
    for deep, thread in ((4.0, 4.0), (5.8, 5.8), (6.5, 5.8), (-1.0, 0.0)):
        assert _fixings.hold_n(framed, deep, from_above=True) == pytest.approx(thread * 3.0 * PLY, rel=0.005)
    assert _fixings.hold_n(framed, 4.0, from_above=False) == 0.0
    ring = math.pi / 4 * (BOLT.washer_mm**2 - BOLT.clearance_mm**2)
    assert _fixings.hold_n(on(fixing=BOLT), 30.0, from_above=True) == pytest.approx(2.9 * ring)
    assert pytest.approx(2.9, abs=0.05) == 425 * 0.00689476


@pytest.mark.parametrize(
    ("screw_mm", "pad_mm", "from_above", "mpa"),
    [
        (12.0, 0.0, True, 1.0), (12.0, 0.0, False, 1.0),
        (0.0, 0.0, True, 0.1), (0.0, 0.0, False, 0.1),  # foam through and through
        (9.0, 0.0, True, 0.1), (9.0, 0.0, False, 1.0),  # foam on plywood
        (11.5, 0.0, True, 0.1), (7.0, 6.5, False, 1.0),  # half a millimetre of foam, or of wood, is some
        (6.5, 6.5, False, 0.1), (18.5, 6.5, False, 1.0),  # a pad under foam hangs on the foam, under wood on the wood
    ],
)  # fmt: skip
def test_glue_holds_as_what_it_is_glued_to(screw_mm, pad_mm, from_above, mpa):
    """TR100 of EN 13164 for foam, plies that part for wood; both from memory."""
    thick = 18.5 if screw_mm == 18.5 else 12.0
    spec = on(thick_mm=thick, screw_mm=screw_mm, pad_mm=pad_mm)

    assert _fixings.bond_mpa(spec, from_above=from_above) == mpa


def test_a_glued_face_bears_a_pull_or_what_tips_it():
    """F/A, or M over W = a·b²/6 of a rectangle, whichever is more, against a newton a mm²."""
    spec = on()

    assert _fixings.bond_ratio(spec, 600.0, 20.0, 30.0, 0.0, from_above=True) == pytest.approx(600.0 / 30.0)
    tipped = 1.0 / (900.0 / (30.0 * 20.0**2 / 6))
    assert _fixings.bond_ratio(spec, 600.0, 20.0, 1.0, 900.0, from_above=True) == pytest.approx(tipped)


def _needs(spec, count, per_screw):
    """The pull a mm² with which so many screws of 3 mm, so deep, hold just twice the stall."""
    return 2.0 * _fixings.stall_n(spec) / (count * per_screw * 3.0)


@pytest.mark.parametrize("count", [2, 4])
def test_the_first_screw_that_holds_twice_the_stall_is_taken_from_below(count):
    """A hair more pull and the thin screw is taken, a hair less and the thick one; bolts never."""
    stock = (BOLT, WOOD, THICK)
    just = _needs(request(), count, 8.0)

    for more, name in ((1.001, "wood-3"), (0.999, "wood-3.5")):
        spec = on(pull=just * more, fixing_stock=stock)
        assert _fixings.from_below(spec, lambda tried: 8.0, lambda tried: count).fixing.name == name


def test_a_pad_is_taken_where_no_screw_holds_and_the_thinnest_that_does():
    """Too thin a board, one of foam, and one that nothing helps; a screw that was asked for stays."""
    stock = (WOOD, THICK)

    def deep(tried):
        left = tried.board.screw_depth_mm - 4.0
        return left if left >= 6.0 else None

    for screw_mm, pad_mm in ((10.0, 0.0), (9.9, 6.5), (3.5, 6.5), (3.4, 9.0), (0.0, 12.0)):
        spec = on(thick_mm=12.0, screw_mm=screw_mm, pull=9.0, fixing_stock=stock)
        assert _fixings.from_below(spec, deep, lambda tried: 4).pad_mm == pad_mm, screw_mm
    weak = on(thick_mm=12.0, pull=0.01, fixing_stock=stock)
    assert _fixings.from_below(weak, deep, lambda tried: 4) is weak
    named = on(thick_mm=12.0, pull=0.01, fixing=THICK, fixing_stock=())
    assert _fixings.from_below(named, deep, lambda tried: 4) == named
    assert _fixings.from_below(on(screw_mm=0.0, fixing_stock=()), lambda tried: 5.0, lambda tried: 4).pad_mm


def test_what_nobody_reaches_from_below_is_screwed_into_plywood():
    """A frame into foam that leaves 5 mm of the thinnest foam under the thickest frame, the thinnest that holds; strips
    under a board that is too thin; a screw that was asked for stays where it holds at all."""
    stock = (BOLT, WOOD)

    def deep(tried):
        return (tried.frame_mm or tried.board.screw_depth_mm) - 1.0 or None

    held = 2.0 * _fixings.stall_n(request()) / (4 * 3.0 * 2.43)  # thread of four screws in plywood
    assert held < 5.5
    for thick, frame_mm in ((12.0 + 0.3, 6.5), (12.0 + 0.3 - 0.001, None)):
        spec = on(thick_mm=thick, screw_mm=0.0, fixing_stock=stock)
        found = _fixings.from_above_alone(spec, deep, 4)
        assert (found.frame_mm or None) == frame_mm
        assert (found.fixing.kind, found.bonded) == ("wood", False)
    thin = on(thick_mm=3.0, pull=2.43, fixing_stock=stock)
    assert _fixings.from_above_alone(thin, deep, 4).pad_mm in (6.5, 9.0)
    good = on(thick_mm=12.0, pull=2.43, fixing_stock=stock)
    found = _fixings.from_above_alone(good, deep, 4)
    assert (found.pad_mm, found.frame_mm or None, found.fixing.name) == (0.0, None, "wood-3")
    just = _needs(request(), 4, 11.0)
    for more, pad_mm in ((1.001, 0.0), (0.999, 6.5)):
        spec = on(thick_mm=12.0, pull=just * more, fixing_stock=stock)
        assert _fixings.from_above_alone(spec, deep, 4).pad_mm == pad_mm
    weak = on(thick_mm=12.0, pull=0.1, fixing_stock=())
    assert _fixings.from_above_alone(weak, deep, 4) == weak
    nothing = on(thick_mm=12.0, fixing_stock=stock)
    assert _fixings.from_above_alone(nothing, lambda tried: None, 4) is nothing


def test_a_housing_takes_a_screw_a_bolt_or_glue():
    """The first of the stock that holds twice the stall; on foam, where none does, glue; on wood what was there."""
    stock = (WOOD, THICK)
    just = _needs(request(), 4, 8.0)

    for more, name in ((1.001, "wood-3"), (0.999, "wood-3.5")):
        spec = on(pull=just * more, fixing_stock=stock)
        assert _fixings.from_above(spec, lambda tried: 8.0, 4).fixing.name == name
    foam = on(thick_mm=30.0, screw_mm=0.0, fixing_stock=stock)
    assert _fixings.from_above(foam, lambda tried: 8.0, 4).bonded
    glued = on(bonded=True)
    assert _fixings.from_above(glued, lambda tried: 8.0, 4) is glued
    on_ply = on(thick_mm=39.0, screw_mm=9.0, fixing_stock=stock)
    assert _fixings.from_above(on_ply, lambda tried: 20.0, 4).bonded
    assert not _fixings.from_above(on_ply, lambda tried: 38.0, 4).bonded
    named = on(thick_mm=39.0, screw_mm=9.0, fixing_stock=())
    assert _fixings.from_above(named, lambda tried: 20.0, 4) is named
    weak = on(pull=0.01, fixing_stock=stock)
    assert _fixings.from_above(weak, lambda tried: 8.0, 4) is weak
    assert _fixings.foam_on_top(on_ply.board)
    assert not _fixings.foam_on_top(weak.board)


def test_a_screw_that_is_too_long_or_too_short_is_passed_over():
    """The next one of the stock is asked, of a bracket, of what is let down, and of a housing."""
    spec = on(fixing_stock=(WOOD, THICK), pull=9.0)

    def deep(tried):
        return None if tried.fixing.name == "wood-3" else 8.0

    assert _fixings.from_below(spec, deep, lambda tried: 4).fixing.name == "wood-3.5"
    assert _fixings.from_above_alone(spec, deep, 4).fixing.name == "wood-3.5"
    assert _fixings.from_above(spec, deep, 4).fixing.name == "wood-3.5"


def test_a_screw_that_was_asked_for_is_taken_where_it_holds_at_all():
    """Of a drop-in too weak a one stays, and is told by its check; where it holds nothing, strips or a frame are."""
    weak = on(fixing_stock=(), pull=0.5, fixing=THICK)
    assert _fixings.from_above_alone(weak, lambda tried: 8.0, 4) == weak
    foam = on(thick_mm=40.0, screw_mm=0.0, fixing_stock=(), fixing=THICK)
    found = _fixings.from_above_alone(foam, lambda tried: 5.0, 4)
    assert (found.frame_mm, found.fixing.name) == (6.5, "wood-3.5")
    layered = on(thick_mm=39.0, screw_mm=9.0, fixing_stock=(), fixing=THICK)
    assert _fixings.from_above_alone(layered, lambda tried: 20.0, 4).frame_mm == 6.5
