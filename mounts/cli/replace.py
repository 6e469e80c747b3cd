"""``mounts adapt --pulses`` and ``--fits``: another servo in a mount that is printed; nothing is modelled."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from mounts.cli.faults import MOUNT_FAILED
from mounts.errors import Fault, InputError, placed
from mounts.units import length_mm, number, wrapped

if TYPE_CHECKING:
    from mounts.checks.model import Check
    from mounts.design import Design
    from mounts.drive.repulse import Repulsed
    from mounts.inputs.servo import Servo


def replaced(
    before: Design, servo: str | None, by_hand: Mapping[str, str | None], others: Sequence[str], *, judged: bool,
    as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """New pulses for a mount that exists, and whether the servo goes into its print.

    Args:
        before: the mount.
        servo: its name; None: the old one, as its profile is now.
        by_hand: ``arm_hole``, ``distance`` and ``stands`` of a servo that was fixed by hand.
        others: options given that make no sense here.
        judged: whether it goes into the print is asked too.
        as_json: for programs.
        quiet: faults only.
    """
    from mounts.checks.replacement import check_replacement
    from mounts.inputs.library import Library

    if others:
        said = "can't be changed in a mount that is printed; leave out --pulses and --fits for another mount"
        raise InputError(*(Fault(said, (key,)) for key in others))
    if judged and servo is None:
        raise InputError(Fault("must be given with --fits", ("servo",)))
    with placed("servo"):
        new = Library().servo(servo or before.spec.servo.name)
    found = _pulses(before, new, by_hand)
    checks = tuple(check_replacement(before, new)) if judged else ()
    if as_json:
        content = {
            "schema": "pulses/1",
            "mount": before.spec.id,
            **found.model_dump(mode="json"),
            "reprint": any(check.verdict == "fail" for check in checks) if judged else None,
            "checks": [check.model_dump(mode="json") for check in checks],
        }
        sys.stdout.write(json.dumps(content, ensure_ascii=False, indent=1) + "\n")
    elif not quiet:
        _tell(before, new, found, checks, judged=judged)
    wrong = [check for check in checks if check.verdict == "fail"]
    for check in wrong:
        print(f"fail: {before.spec.id}: {check.name}: {check.message}", file=sys.stderr)
    if found.room_us < 0:
        print(
            f"fail: {before.spec.id}: pulse-range: {new.name} has {number(-found.room_us, 0)} us too little for its "
            f"swing of {number(found.swing_deg, 1)}°: an outer arm hole with less swing, or another servo",
            file=sys.stderr,
        )
    return MOUNT_FAILED if wrong or found.room_us < 0 else 0


def _pulses(before: Design, new: Servo, by_hand: Mapping[str, str | None]) -> Repulsed:
    from mounts.drive.repulse import repulsed, repulsed_by_hand

    given = [key for key, value in by_hand.items() if value is not None]
    if not given:
        return repulsed(before.drive, before.spec.servo, new)
    if missing := [key for key in by_hand if key not in given]:
        raise InputError(*(Fault("must be given too, of a servo that was fixed by hand", (key,)) for key in missing))
    lengths = {key: _length(key, str(by_hand[key])) for key in ("arm_hole", "distance")}
    try:
        stands_deg = float(str(by_hand["stands"]))
    except ValueError:
        raise InputError(Fault("must be degrees", ("stands",), f"'{by_hand['stands']}'")) from None
    if not -45.0 <= stands_deg <= 45.0:
        raise InputError(Fault("must be -45 to 45", ("stands",), number(stands_deg)))
    return repulsed_by_hand(
        before.drive, before.spec.servo, new, arm_hole_mm=lengths["arm_hole"], distance_mm=lengths["distance"],
        stands_deg=stands_deg,
    )  # fmt: skip


def _length(key: str, written: str) -> float:
    try:
        size = length_mm(written)
    except ValueError as fault:
        raise InputError(Fault(str(fault), (key,), repr(written))) from None
    if not 2.0 <= size <= 60.0:
        raise InputError(Fault("must be 2 to 60 mm", (key,), repr(written)))
    return size


def _tell(before: Design, new: Servo, found: Repulsed, checks: Sequence[Check], *, judged: bool) -> None:
    verdict = ""
    if judged:
        worst = {check.verdict for check in checks}
        verdict = (
            "print another mount" if "fail" in worst else "fits, with a little work" if "warn" in worst else "fits"
        )
        print(f"{before.spec.id} with {new.name}: {verdict}")
    for check in checks:
        print(*wrapped(check.message, 79, first=f"  {check.verdict}: ", others="    "), sep="\n")
    pulse = found.pulse_us
    print(
        f"pulses of {before.spec.id} with {new.name}: normal {number(pulse.normal, 0)}, centre "
        f"{number(pulse.centre, 0)}, reverse {number(pulse.reverse, 0)} us"
    )
    print(
        *wrapped(
            f"The arm turns {number(found.arm_deg[0], 1)} and {number(found.arm_deg[1], 1)}°, the pin goes "
            f"{number(found.pin_mm[0], 2)} and {number(found.pin_mm[1], 2)} mm. Trim both ends as the mount's steps "
            "say. Unplug before reaching under the layout: the arm moves without warning.",
            79,
        ),
        sep="\n",
    )
