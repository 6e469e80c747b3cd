"""One drive for a family of mounts: what they share comes out the same, the rest is solved for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from mounts.drive.choices import FREE, SWING_STEP_US, Axes, round_pulses_us
from mounts.drive.kinds import kind_of
from mounts.drive.limits import explain
from mounts.drive.model import Drive, Limits
from mounts.drive.ranking import HEARD, Examined
from mounts.drive.solve import examined, solve
from mounts.errors import NoDesign
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]
Key = tuple[float, ...]

SHARED = ("arm hole", "wire", "pulses", "screw pattern")
"""What a family may share, in the order it is spoken of."""

OVERTRAVEL_SHARES = tuple(round(0.10 + 0.05 * step, 2) for step in range(23))
"""Common over-travels tried, as shares of the family's smallest throw: 0.10 to 1.20; common practice, no source."""


@dataclass(frozen=True)
class _Member:
    """One mount of the family: its candidates, what of each is shared, and the cheapest sound one a choice."""

    examined: Examined
    keys: Array  # (n, k)
    cheapest: Mapping[Key, tuple[float, int]]  # shared choice → cost and candidate

    @property
    def id(self) -> str:
        return self.examined.spec.id


def match(specs: Sequence[MountSpec], limits: Sequence[Limits], share: frozenset[str]) -> tuple[Drive, ...]:
    """Drives that share what is asked for, in the order of ``specs``, at the least sum of costs.

    Every member keeps every limit that it has as a single mount. Shared pulses are whole µs, and each
    swing is that pulse times the servo's own gain; a mirrored member has the two pulses exchanged. Where
    pulses are shared, one over-travel for all is preferred, so that all pins travel alike and only the
    force falls with the board's height; where no such drive keeps every limit, each member gets the
    over-travel that its own wire asks for. The screw pattern depends on the wire's diameter, which is
    therefore shared with it; that the holes do come out the same is seen where the mounts are placed.

    Args:
        specs: the members, ids all different.
        limits: what each member's style leaves to its drive.
        share: of ``SHARED``.

    Raises:
        NoDesign: a member breaks the family: its name, the limit that does it and what would mend it.
        InputError: a pinned wire or arm hole that does not exist.
        ValueError: a name that is not of ``SHARED``, or not as many limits as specs.
    """
    if unknown := share.difference(SHARED):
        raise ValueError(f"a family cannot share {sorted(unknown)}")
    pairs = tuple(zip(specs, limits, strict=True))
    if len(pairs) < 2 or not share:
        return tuple(solve(spec, own) for spec, own in pairs)
    if "pulses" in share:
        _one_centre(specs)
        if axes := _alike(pairs):
            members = _members(pairs, share, axes)
            if choice := _best(members):
                return _drives(members, choice, share, "travel and over-travel are the same at every pin")
    members = _members(pairs, share, _axes(pairs, share))
    choice = _best(members)
    if choice is None:
        raise NoDesign(_refusal(pairs, members, share))
    return _drives(members, choice, share, "each has the over-travel its own wire asks for")


def _one_centre(specs: Sequence[MountSpec]) -> None:
    first = specs[0]
    for spec in specs:
        if spec.servo.pulse_centre_us != first.servo.pulse_centre_us:
            raise NoDesign(
                f"{spec.id}: cannot share pulses with {first.id}: its servo has its centre at "
                f"{spec.servo.pulse_centre_us:g} µs, the other's at {first.servo.pulse_centre_us:g} µs"
            )


def _pulses_us(specs: Sequence[MountSpec]) -> tuple[float, ...]:
    """Half swings that every servo of the family may make, µs from the centre; a pinned one to the whole µs.

    Raises:
        NoDesign: a member has none in common with those before it.
    """
    common = _own_pulses_us(specs[0])
    for count, spec in enumerate(specs[1:], start=1):
        own = _own_pulses_us(spec)
        if not common & own:
            raise NoDesign(
                f"{spec.id}: cannot share pulses with {_listed([other.id for other in specs[:count]])}: its half swing "
                f"takes {min(own):g} to {max(own):g} µs, theirs {min(common):g} to {max(common):g} µs"
            )
        common &= own
    return tuple(sorted(common))


def _own_pulses_us(spec: MountSpec) -> set[float]:
    if spec.swing_deg is not None:
        return {float(round(spec.swing_deg / spec.servo.degrees_per_us))}
    return set(round_pulses_us(spec, step_us=1.0).tolist())


def _axes(pairs: Sequence[tuple[MountSpec, Limits]], share: frozenset[str]) -> Axes:
    return Axes(pulses_us=_rounded_us([spec for spec, _ in pairs])) if "pulses" in share else FREE


def _rounded_us(specs: Sequence[MountSpec]) -> tuple[float, ...]:
    """The common pulses, of those that are not pinned the multiples of 10 µs only."""
    pulses = _pulses_us(specs)
    pinned = any(spec.swing_deg is not None for spec in specs)
    return pulses if pinned else tuple(pulse for pulse in pulses if pulse % SWING_STEP_US == 0.0)


def _alike(pairs: Sequence[tuple[MountSpec, Limits]]) -> Axes | None:
    """Axes with a common over-travel; None where depth or swing, not the over-travel, is what is left to choose."""
    specs = [spec for spec, _ in pairs]
    if any(spec.depth_mm is not None or not kind_of(own).aims_at_overtravel for spec, own in pairs):
        return None
    asked = sorted({spec.overtravel_mm for spec in specs if spec.overtravel_mm is not None})
    smallest = min(spec.throw_mm for spec in specs)
    if len(asked) > 1:
        return None
    overtravels = asked or [round(share * smallest, 3) for share in OVERTRAVEL_SHARES]
    return Axes(pulses_us=_rounded_us(specs), overtravels_mm=overtravels)


def _members(pairs: Sequence[tuple[MountSpec, Limits]], share: frozenset[str], axes: Axes) -> tuple[_Member, ...]:
    found = []
    for spec, own in pairs:
        tried = examined(spec, own, axes)
        keys = _keys(tried, share, alike=axes.overtravels_mm is not None)
        found.append(_Member(tried, keys, _cheapest(tried, keys)))
    return tuple(found)


def _keys(tried: Examined, share: frozenset[str], *, alike: bool) -> Array:
    """What of each candidate is shared, (n, k), rounded so that equal choices are equal numbers."""
    trial = tried.trial
    columns = []
    if "arm hole" in share:
        columns.append(np.round(trial.radius_mm, 6))
    if share & {"wire", "screw pattern"}:
        columns.append(np.round(trial.wire_mm, 6))
    if "pulses" in share:
        columns.append(np.round(np.degrees(trial.theta_rad) / tried.spec.servo.degrees_per_us, 3))
        columns.append(tried.towards.astype(np.float64))
    if alike:
        columns.append(tried.aimed)
    return np.stack(columns, axis=1)


def _cheapest(tried: Examined, keys: Array) -> dict[Key, tuple[float, int]]:
    total = np.sum(list(tried.cost.values()), axis=0)
    found: dict[Key, tuple[float, int]] = {}
    for index in np.flatnonzero(tried.alive()).tolist():
        key = tuple(keys[index].tolist())
        if key not in found or total[index] < found[key][0]:
            found[key] = (float(total[index]), index)
    return found


def _common(members: Sequence[_Member]) -> set[Key]:
    return set.intersection(*(set(member.cheapest) for member in members))


def _best(members: Sequence[_Member]) -> Key | None:
    """The shared choice with the least sum of costs that nothing is said against; of equals the smallest numbers."""
    ranked = sorted(_common(members), key=lambda key: (sum(m.cheapest[key][0] for m in members), key))
    sound = (key for key in ranked[:HEARD] if not any(m.examined.objection(m.cheapest[key][1]) for m in members))
    return next(sound, next(iter(ranked), None))


def _drives(members: Sequence[_Member], choice: Key, share: frozenset[str], alike: str) -> tuple[Drive, ...]:
    fewest = min(members, key=lambda member: len(member.cheapest))
    common, first = len(_common(members)), members[0]
    drives: list[Drive] = []
    told = f"{common} shared choices suit" if common > 1 else "One shared choice suits"
    for member in members:
        _, index = member.cheapest[choice]
        tried = member.examined
        others = _listed([other.id for other in members if other is not member])
        drive = tried.drive(index)
        exchanged = "pulses" in share and bool(drives) and _to_reverse(drive) != _to_reverse(drives[0])
        text = (
            f"{tried.does(index, drive)} It shares {_named(share)} with "
            f"{others}{f', normal and reverse exchanged against {first.id}' if exchanged else ''}; {alike}. "
            f"{told} all {len(members)}; {fewest.id} is the hardest to please, with {len(fewest.cheapest)} "
            "sound choices of its own."
        )
        drives.append(drive.model_copy(update={"explanation": text}))
    return tuple(drives)


def _to_reverse(drive: Drive) -> bool:
    """Whether a longer pulse is the one for reverse."""
    return drive.pulse_us.reverse > drive.pulse_us.normal


def _refusal(pairs: Sequence[tuple[MountSpec, Limits]], members: Sequence[_Member], share: frozenset[str]) -> str:
    """Who breaks the family, why, and what was tried and mends it; one line."""
    for (spec, own), member in zip(pairs, members, strict=True):
        if not member.cheapest:
            solve(spec, own)  # tells of a member that has no drive even alone, with its ways out
    breaker, others = _breaker(members)
    suits = _common(others)
    rows = np.flatnonzero([tuple(key) in suits for key in breaker.keys.tolist()])
    text = f"{breaker.id}: cannot share {_named(share)} with {_listed([m.id for m in others])}: "
    if rows.size:
        narrowed = [replace(limit, value=limit.value[rows]) for limit in breaker.examined.limits]
        reason = explain(narrowed, lambda index: breaker.examined.trial.words(int(rows[index])))
        text += f"of the choices that suit the others, {reason}"
    else:
        text += f"it has none of the choices that suit the others ({_offered(others, share)})"
    ways = [f"share no {name}" for name in SHARED if name in share and _matches(pairs, share - {name})]
    if len(others) == len(members) - 1:
        ways.append(f"leave {breaker.id} out")
    return text + ("; or " + ", or ".join(ways) if ways else "")


def _breaker(members: Sequence[_Member]) -> tuple[_Member, tuple[_Member, ...]]:
    """The member without which the others match, with most choices left; or the one that takes the last choice.

    Where no single member is to blame, the family is joined from the easiest to please to the hardest, and
    the first that leaves nothing is named with those before it.
    """
    without = [
        (len(_common(rest)), next(m for m in members if m not in rest), rest)
        for rest in combinations(members, len(members) - 1)
    ]
    left, breaker, rest = max(without, key=lambda found: found[0])
    if left:
        return breaker, rest
    joined = sorted(members, key=lambda member: -len(member.cheapest))
    for count in range(2, len(joined)):
        if not _common(joined[:count]):
            return joined[count - 1], tuple(joined[: count - 1])
    return joined[-1], tuple(joined[:-1])


def _matches(pairs: Sequence[tuple[MountSpec, Limits]], share: frozenset[str]) -> bool:
    if not share:
        return True
    return bool(_common(_members(pairs, share, _axes(pairs, share))))


def _offered(members: Sequence[_Member], share: frozenset[str]) -> str:
    """Arm holes and wires among the choices that suit these members."""
    suits = sorted(_common(members))
    found = []
    if "arm hole" in share:
        found.append("arm holes " + ", ".join(f"{radius:g}" for radius in sorted({key[0] for key in suits})) + " mm")
    if share & {"wire", "screw pattern"}:
        column = int("arm hole" in share)
        found.append("wires " + ", ".join(f"{wire:g}" for wire in sorted({key[column] for key in suits})) + " mm")
    return "; ".join(found) or "swings out of its range"


def _named(share: frozenset[str]) -> str:
    return _listed([name for name in SHARED if name in share])


def _listed(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
