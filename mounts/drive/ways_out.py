"""Where nothing is left: changes of the request that were tried and do give a drive."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice

from mounts.inputs.request import FORCE_N, MAX_DEPTH, TRACK_DISTANCE, TRACK_RADIUS
from mounts.inputs.spec import MountSpec
from mounts.units import number

Attempt = Callable[[MountSpec], bool]

_PINS = {
    "wire_mm": "--wire", "arm_hole_mm": "--arm-hole", "depth_mm": "--depth", "swing_deg": "--swing",
    "overtravel_mm": "--overtravel", "track_distance_mm": "--track-distance",
}  # fmt: skip
_MOST_WAYS = 3  # a line that offers more is not read
_DEPTH_STEP_MM, _DISTANCE_STEP_MM, _RADIUS_STEP_MM = 1.0, 0.5, 10.0  # as people round them; common practice, no source
_MORE = (1.1, 1.25, 1.5, 2.0, 3.0, 5.0)  # of a figure that may only grow, until it is enough
_SHARES = (0.85, 1.2, 0.7, 1.5, 0.5, 2.0, 0.35, 3.0)  # nearest change first
_OTHER_THROWS, _OTHER_FORCES = _SHARES[:4], _SHARES[:6]  # further ones are another turnout
_OVER_ROADBED_MM = 1.0  # half a wire, its lean and air; common practice, no source
_LOWER_MM = (0.5, 1.0, 1.5, 2.5)  # pin, where it can be had lower
_WEAKER = tuple(share for share in _SHARES if share < 1.0)
_STRONGER = tuple(share for share in _SHARES if share > 1.0)


def tried_changes(
    spec: MountSpec,
    attempt: Attempt,
    choices: Mapping[str, Sequence[object]],
    *,
    below: bool = True,
    others: Iterable[tuple[str, MountSpec]] | None = None,
) -> tuple[str, ...]:
    """Changes of a request, as options to type, each the least of its kind that gives a mount; at most three.

    First what was pinned, then room, then another of the style's own ways, then a lower pin; where none of these does,
    another throw or force; where none of these does it alone, all pins and a little more room together, or something
    else asked for with another word of an option.

    Args:
        spec: a request for which there is no mount.
        attempt: whether there is one for a request; it may be asked thirty times.
        choices: the style's own options that are words → the words; or that were asked for, with examples → these.
        below: whether the mount hangs below the board, so that ``--max-depth`` makes a difference.
        others: what else may be asked for, as typed, and the request, the nearest first; None: another throw or force.
    """
    if others is not None:
        pinned = {name: words for name, words in choices.items() if name in spec.options}
        room = (
            *_free_pins(spec, attempt),
            *_other_words(spec, attempt, pinned),
            *_free_options(spec, attempt),
            *_more_room(spec, attempt, below),
        )
        asked = tuple(others)
        for ways in (iter(room), _first_of_each(asked, attempt), _word_and_other(asked, attempt, pinned)):
            if found := tuple(islice(ways, _MOST_WAYS)):
                return found
        return ()
    alone = (_changes(spec, attempt, choices, below), _other_asked(spec, attempt))
    for ways in (*alone, _together(spec, attempt, below)):
        if found := tuple(islice(ways, _MOST_WAYS)):
            return found
    return ()


def _changes(spec: MountSpec, attempt: Attempt, choices: Mapping[str, Sequence[object]], below: bool) -> Iterator[str]:
    yield from _free_pins(spec, attempt)
    yield from _free_options(spec, attempt)
    yield from _more_room(spec, attempt, below)
    yield from _other_words(spec, attempt, choices)
    yield from _lower_pin(spec, attempt)


def _other_words(spec: MountSpec, attempt: Attempt, choices: Mapping[str, Sequence[object]]) -> Iterator[str]:
    for name, words in choices.items():
        for word in words:
            if spec.options.get(name) != word and attempt(_with_option(spec, name, word)):
                yield _set(name, word)
                break


def _word_and_other(
    others: Sequence[tuple[str, MountSpec]], attempt: Attempt, pinned: Mapping[str, Sequence[object]]
) -> Iterator[str]:
    """The first word of an option with which something else works, and that; by halving, its last leaves most room."""
    for name, words in pinned.items():

        def enough(count: int, name: str = name, words: Sequence[object] = words) -> bool:
            return any(attempt(_with_option(spec, name, words[count - 1])) for _, spec in others)

        if words and enough(len(words)):
            word = words[_least(enough, 0, len(words)) - 1]
            told = next(told for told, spec in others if attempt(_with_option(spec, name, word)))
            yield f"{_set(name, word)} with {told}"


def _with_option(spec: MountSpec, name: str, value: object) -> MountSpec:
    return spec.model_copy(update={"options": {**spec.options, name: value}})


def _set(name: str, value: object) -> str:
    return f"--set {name}={number(value) if isinstance(value, float) else value}"


def _first_of_each(others: Iterable[tuple[str, MountSpec]], attempt: Attempt) -> Iterator[str]:
    """The first values of each set of options that work, and nothing that changes more than one of these does."""
    offered: list[frozenset[str]] = []
    for told, spec in others:
        options = frozenset(word for word in told.split() if word.startswith("--"))
        if not any(before <= options for before in offered) and attempt(spec):
            offered.append(options)
            yield told


def _other_asked(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    yield from _other_throws(spec, attempt)
    yield from _other_forces(spec, attempt)


def _free_options(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    for name in spec.options:
        options = {key: value for key, value in spec.options.items() if key != name}
        if attempt(spec.model_copy(update={"options": options})):
            yield f"leave --set {name} out"


def _more_room(spec: MountSpec, attempt: Attempt, below: bool) -> Iterator[str]:
    """The least depth below the board, distance from the track and radius of it that do."""
    for field, option, step, most in (
        ("max_depth_mm", "--max-depth", _DEPTH_STEP_MM, MAX_DEPTH.high_mm),
        ("track_distance_mm", "--track-distance", _DISTANCE_STEP_MM, TRACK_DISTANCE.high_mm),
        ("track_radius_mm", "--track-radius", _RADIUS_STEP_MM, TRACK_RADIUS.high_mm),
    ):
        now = getattr(spec, field)
        if now is None or (field == "max_depth_mm" and not below):
            continue

        def enough(steps: int, field: str = field, step: float = step) -> bool:
            return attempt(spec.model_copy(update={field: steps * step}))

        too_little = math.floor(now / step)
        tried = dict.fromkeys(min(math.ceil(now * share / step), math.floor(most / step)) for share in _MORE)
        for steps in tried:
            if steps > too_little and enough(steps):
                yield f"{option} {number(_least(enough, too_little, steps) * step)}"
                break
            too_little = max(steps, too_little)


def _lower_pin(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    for step in _LOWER_MM:
        pin_mm = round(spec.pin_height_mm - step, 2)
        lower = spec.model_copy(update={"pin_height_mm": pin_mm})
        if pin_mm >= spec.roadbed.thickness_mm + _OVER_ROADBED_MM and attempt(lower):
            yield f"--pin-height {number(pin_mm)}"
            return


def _least(enough: Callable[[int], bool], too_little: int, plenty: int) -> int:
    """The smallest whole number that is enough, between one that is not and one that is, by halving."""
    while plenty - too_little > 1:
        half = (plenty + too_little) // 2
        plenty, too_little = (half, too_little) if enough(half) else (plenty, half)
    return plenty


def _together(spec: MountSpec, attempt: Attempt, below: bool) -> Iterator[str]:
    """Every pin left free at once, then with the depth doubled too, then with a throw and force of the scale."""
    pins = {pin: None for pin in _PINS if getattr(spec, pin) is not None}
    free = [f"leave {_PINS[pin]} free" for pin in pins]
    if spec.options:
        free.append(f"leave {', '.join(f'--set {name}' for name in spec.options)} out")
    bare = spec.model_copy(update={**pins, "options": {}})
    if len(free) > 1 and attempt(bare):
        yield " and ".join(free)
        return
    depth_mm = min(2 * spec.max_depth_mm, MAX_DEPTH.high_mm) if below else spec.max_depth_mm
    for throw_mm in dict.fromkeys((spec.throw_mm, spec.scale.throw_mm, spec.scale.smallest_throw_mm)):
        for band in dict.fromkeys((spec.force_n, spec.scale.force_n, (FORCE_N[0], 3 * spec.scale.force_n[1]))):
            update = {"max_depth_mm": depth_mm, "throw_mm": throw_mm, "force_n": band}
            if attempt(bare.model_copy(update=update)):
                told = [f"--max-depth {number(depth_mm)}"] if below else []
                told += [f"--throw {number(throw_mm)}"] if throw_mm != spec.throw_mm else []
                told += [force_option(_typed(spec, band))] if band != spec.force_n else []
                yield " with ".join([*free, *told])
                return


def _typed(spec: MountSpec, band_n: tuple[float, float]) -> tuple[float, float]:
    """A band as typed: without the turnout's own spring, which is added to what is asked for."""
    own = spec.own_spring_n or 0.0
    return round(band_n[0] - own, 3), round(band_n[1] - own, 3)


def wider_force(spec: MountSpec, attempt: Attempt) -> str | None:
    """The force asked for with one end moved, or both, as the option to type; None where that gives no drive.

    The nearest of those tried, in steps of one figure, weaker before stronger.

    Args:
        spec: a request that has no drive.
        attempt: whether a request has a drive.
    """
    low, high = spec.force_n
    weaker = list(dict.fromkeys(max(_one_figure(low * share, math.floor), FORCE_N[0]) for share in _WEAKER))
    stronger = list(dict.fromkeys(min(_one_figure(high * share, math.ceil), FORCE_N[1]) for share in _STRONGER))
    both = zip(weaker, stronger, strict=False)
    for band in (*((end, high) for end in weaker), *((low, end) for end in stronger), *both):
        if attempt(spec.model_copy(update={"force_n": band})):
            return force_option(band)
    return None


def force_option(band_n: tuple[float, float]) -> str:
    """A band of forces as typed.

    >>> force_option((0.1, 0.5))
    '--force 0.1-0.5'
    """
    return f"--force {number(band_n[0])}-{number(band_n[1])}"


def _one_figure(value: float, whole: Callable[[float], int]) -> float:
    """Rounded one way to one significant figure: 0.17 down is 0.1, 0.6 up is 0.6."""
    place = math.floor(math.log10(value))
    return round(whole(round(value / 10.0**place, 6)) * 10.0**place, 6)


def _free_pins(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    for pin, option in _PINS.items():
        if getattr(spec, pin) is not None and attempt(spec.model_copy(update={pin: None})):
            yield f"leave {option} free"
    if spec.wire_held == "clamped" and attempt(spec.model_copy(update={"wire_held": "turning"})):
        yield "--held turning"


def _other_throws(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    tried = [round(spec.throw_mm * share, 1) for share in _OTHER_THROWS]
    for throw_mm in (*tried, spec.scale.throw_mm):
        allowed = spec.scale.smallest_throw_mm <= throw_mm <= spec.scale.largest_throw_mm
        if allowed and attempt(spec.model_copy(update={"throw_mm": throw_mm})):
            yield f"--throw {number(throw_mm)} instead of {number(spec.throw_mm)} mm"
            return


def _other_forces(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    low, high = _typed(spec, spec.force_n)
    own = spec.own_spring_n or 0.0
    for share in _OTHER_FORCES:
        band = (round(low * share, 2), round(high * share, 2))
        typed = FORCE_N[0] <= band[0] and band[1] <= FORCE_N[1]
        if typed and attempt(spec.model_copy(update={"force_n": (band[0] + own, band[1] + own)})):
            yield f"{force_option(band)} instead of {number(low)}-{number(high)} N"
            return
