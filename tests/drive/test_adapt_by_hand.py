"""What of a drive is kept, in which order, and what is told of the rest: the solver says what a test tells it."""

from __future__ import annotations

import math
from functools import cache
from types import SimpleNamespace

import pytest
from requests_for_drives import bracket_limits, housing_limits, request

from mounts.drive import adapt as adapting
from mounts.drive.adapt import adapt
from mounts.drive.limits import Refusal
from mounts.drive.model import PulseWidths
from mounts.drive.solve import solve
from mounts.errors import NoDesign

# arm hole, wire, pulses, over-travel: from the most to the least, the arm before the wire before the pulses
ORDER = ["hwpo", "hwp", "hwo", "hw", "hp", "h", "wp", "w", "p"]
NAMES = {"h": "arm hole", "w": "wire", "p": "pulses", "o": "over-travel"}


@cache
def made(style="under-bracket"):
    """A request and a drive for it."""
    spec = request(style=style)
    limits = housing_limits(spec) if style == "hut" else bracket_limits(spec)
    return spec, limits, solve(spec, limits)


@pytest.fixture
def solver(monkeypatch):
    """Says yes to what is pinned if that is one of ``good``; remembers what it was asked, and which way the arm."""
    state = SimpleNamespace(good=set(), asked=[], forces=[], drive=None, option=None, anew=Refusal("no drive; none"))

    def pins(spec):
        _, _, before = made(state.style)
        swing = spec.swing_deg
        us = None if swing is None else swing / spec.servo.degrees_per_us
        half = (before.pulse_us.reverse - before.pulse_us.normal) / 2
        assert us is None or us == pytest.approx(abs(half))
        found = {"h": spec.arm_hole_mm, "w": spec.wire_mm, "p": swing, "o": spec.overtravel_mm}
        wanted = {"h": before.horn_radius_mm, "w": before.wire_mm, "p": swing, "o": before.overtravel_mm}
        assert all(value in (None, wanted[key]) for key, value in found.items())
        return "".join(key for key, value in found.items() if value is not None)

    def examined(spec, limits):
        def best(*, towards=None):
            key = pins(spec)
            state.asked.append((key, towards))
            return state.drive if key in state.good else Refusal(f"no {key}")

        return SimpleNamespace(best=best)

    def wider_force(spec, works):
        state.forces.append((pins(spec), works(spec)))
        return state.option

    state.style = "under-bracket"
    monkeypatch.setattr(adapting, "examined", examined)
    monkeypatch.setattr(adapting, "attempt", lambda spec, limits: state.anew)
    monkeypatch.setattr(adapting, "wider_force", wider_force)
    return state


@pytest.mark.parametrize("style", ["under-bracket", "hut"])
def test_what_is_tried_and_in_which_order(solver, style):
    """Nine sets, or of a kind that aims at no over-travel the seven without one; the way the arm points only with its
    pulses. Where nothing does, three reasons and whether there is any other drive."""
    solver.style = style
    spec, limits, before = made(style)
    towards = before.horn_towards_pivot if style == "under-bracket" else None
    order = ORDER if style == "under-bracket" else [key for key in ORDER if "o" not in key]

    with pytest.raises(NoDesign) as told:
        adapt(spec, before, spec.servo, limits)

    assert solver.asked == [(key, towards if "p" in key else None) for key in order]
    begun = f"{spec.id}: nothing can be kept: with arm hole: no h; with wire: no w; with pulses: no p; "
    assert str(told.value) == begun + "nor is there any other: no drive; none"
    solver.anew = before
    with pytest.raises(NoDesign) as told:
        adapt(spec, before, spec.servo, limits)
    assert str(told.value) == begun + "'mounts make' finds one that keeps nothing"


@pytest.mark.parametrize("option", [None, "--force 0.1-3"])
@pytest.mark.parametrize("key", ORDER)
def test_the_first_that_does_is_taken_and_the_rest_is_told(solver, key, option):
    """Why the most that could not be kept could not: over-travel counts least, so it is told only where it is all; and
    the force that would keep it, tried for that."""
    spec, limits, before = made()
    solver.good, solver.drive, solver.option = {key}, before, option

    found = adapt(spec, before, spec.servo, limits)

    assert (found.drive, found.kept) == (before, tuple(NAMES[one] for one in key))
    missed = ORDER[: ORDER.index(key)]
    if not missed:
        assert (found.lost, solver.forces) == ("", [])
        return
    more = next((one for one in missed if "o" not in one), missed[0])
    lost = [NAMES[one] for one in more if one not in key]
    told = f"{' and '.join(lost)}: no {more}"
    if option:
        told += f"; {option} keeps {'it' if lost in (['wire'], ['arm hole'], ['over-travel']) else 'them'}"
    assert found.lost == told
    assert solver.forces == [(more, False)]
    assert solver.asked[-1] == (more, before.horn_towards_pivot if "p" in more else None)


@pytest.mark.parametrize(("off_us", "kept"), [(0.009, "hwpo"), (0.011, "hwo"), (-0.009, "hwpo"), (-0.011, "hwo")])
def test_pulses_that_no_controller_tells_apart_are_the_same(solver, off_us, kept):
    """A hundredth of a microsecond, at reverse; exchanged they are others."""
    spec, limits, before = made()
    pulses = before.pulse_us
    near = PulseWidths(normal=pulses.normal, centre=pulses.centre, reverse=pulses.reverse + off_us)
    solver.good, solver.drive = set(ORDER), before.model_copy(update={"pulse_us": near})

    found = adapt(spec, before, spec.servo, limits)

    assert found.kept == tuple(NAMES[one] for one in kept)
    if kept == "hwo":
        assert found.lost.startswith("pulses: no drive but with normal and reverse exchanged")


def test_no_force_is_looked_for_where_something_is_gone(solver):
    """A hole that the arm has not, or a wire out of stock, comes back by no force; a micrometre is no other hole."""
    spec, limits, before = made()
    near = tuple(hole + (5e-7 if hole == before.horn_radius_mm else 0.0) for hole in spec.servo.horn_radii_mm)
    gone = tuple(hole for hole in spec.servo.horn_radii_mm if hole != before.horn_radius_mm)
    solver.good, solver.drive, solver.option = {"wp", "hwpo"}, before, "--force 0.1-3"

    beside = (*gone, before.horn_radius_mm + 0.9)
    for holes, kept in ((near, "hwpo"), (gone, "wp"), (beside, "wp")):
        servo = spec.servo.model_copy(update={"horn_radii_mm": holes})
        found = adapt(spec.model_copy(update={"servo": servo}), before, spec.servo, limits)
        assert found.kept == tuple(NAMES[one] for one in kept)
    assert found.lost == f"arm hole: the arm of micro-9g has no hole {before.horn_radius_mm:g} mm from the shaft"
    assert solver.forces == []


def test_half_the_swing_in_pulses():
    """Of the way between both ends, whichever is longer."""
    _, _, before = made()
    for normal, reverse in ((1200.0, 1810.0), (1810.0, 1200.0)):
        pulses = PulseWidths(normal=normal, centre=1500.0, reverse=reverse)
        assert math.isclose(adapting.half_swing_us(before.model_copy(update={"pulse_us": pulses})), 305.0)
