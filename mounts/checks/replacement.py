"""Does another servo go into a mount that is printed? Numbers only, no kernel."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.model import Check
from mounts.design import Design
from mounts.inputs import fits
from mounts.inputs.servo import Servo
from mounts.units import number

LEAST_PLAY_MM = 0.0  # between case and pocket, both sides together; a case of just that size is pressed in
EAR_ON_SEAT_MM = 1.0  # of each ear; common practice, no source
PLANE_MM = 0.6  # of the arm off the wire's plane: slot and Z-bend take it up; common practice, no source
SHAFT_MM = 1.0  # by which the shaft may stand elsewhere across; the end pulses take it up; common practice, no source
SAME_HOLE_MM = 0.1  # holes of two arms that differ by less are the same, as callipers read; common practice, no source


def check_replacement(design: Design, servo: Servo) -> Iterator[Check]:
    """Each thing by which a print holds its servo, for another one.

    Yields:
        ``play-length play-width``: what is left round the case, both sides together; ``ears``: least of an ear on its
        seat; ``ear-holes``: how far its screws' holes stand off the pilots; ``arm-plane``; ``shaft``; ``case-below``;
        ``arm-hole``: how far the nearest hole of its arm stands from the one used.
    """
    old, air = design.spec.servo, fits.POCKET.air_mm(design.spec.printer)
    level = fits.POCKET_LEVEL.air_mm(design.spec.printer)
    yield _play("length", old.case_length_mm + 2 * air - servo.case_length_mm)
    yield _play("width", old.case_width_mm + 2 * min(air, level) - servo.case_width_mm)
    ear = (servo.flange_span_mm - old.case_length_mm) / 2 - air
    yield Check.told(
        "ears", ear, "at least", EAR_ON_SEAT_MM, "mm", "either ear has {value} mm on its seat",
        "it falls through: print a mount for it",
    )  # fmt: skip
    off = abs(servo.flange_hole_spacing_mm - old.flange_hole_spacing_mm) / 2
    yield Check.told(
        "ear-holes", off, "at most", max(0.0, (servo.flange_hole_mm - old.screw_mm) / 2), "mm",
        "the holes in its ears stand {value} mm off the printed ones",
        "open the ears' holes by as much, or drill new ones in the mount", otherwise="warn",
    )  # fmt: skip
    plane = servo.horn_plane_height_mm - old.horn_plane_height_mm
    cure = f"lay {number(plane, 1)} mm under its ears" if plane > 0 else "a mount for it, or an arm that stands higher"
    yield Check.told(
        "arm-plane", abs(plane), "at most", PLANE_MM, "mm", "its arm stands {value} mm off the plane of the wire",
        cure if plane <= 3.0 else "print a mount for it", otherwise="warn" if 0 < plane <= 3.0 else "fail",
    )  # fmt: skip
    moved = (servo.case_length_mm / 2 - servo.shaft_offset_mm) - (old.case_length_mm / 2 - old.shaft_offset_mm)
    yield Check.told(
        "shaft", abs(moved), "at most", SHAFT_MM, "mm", "its shaft stands {value} mm elsewhere along its case",
        "print a mount for it",
    )  # fmt: skip
    deeper = servo.flange_underside_height_mm - old.flange_underside_height_mm
    yield Check.told(
        "case-below", deeper, "at most", 0.5 if design.on_board else 5.0, "mm",
        "its case reaches {value} mm farther past its ears",
        "print a mount for it" if design.on_board else "look whether it meets a joist or a neighbour",
        otherwise="fail" if design.on_board else "warn",
    )  # fmt: skip
    used = design.drive.horn_radius_mm
    nearest = min(servo.horn_radii_mm, key=lambda radius: abs(radius - used))
    yield Check.told(
        "arm-hole", abs(nearest - used), "at most", SAME_HOLE_MM, "mm",
        f"the nearest hole of its arm, {number(nearest)} mm from the shaft, stands {{value}} mm from the one used",
        f"put the old arm on it, or drill one at {number(used)} mm", otherwise="warn",
    )  # fmt: skip


def _play(name: str, play: float) -> Check:
    side = f", {number(play / 2, 2)} a side" if play >= 0 else ""
    return Check.told(
        f"play-{name}", play, "at least", LEAST_PLAY_MM, "mm", f"across its {name} {{value}} mm of play{side}",
        "it does not go in: print a mount for it",
    )  # fmt: skip
