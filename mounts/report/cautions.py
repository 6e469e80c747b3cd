"""The cautions that travel with a mount: only those that apply, one line each."""

from __future__ import annotations

from mounts.inputs.spec import MountSpec

_HOT_LAYOUT_C = 60.0  # a loft or a parked car passes 55 °C (common practice, no source)


def cautions(spec: MountSpec) -> tuple[str, ...]:
    """What can hurt someone or the layout here, in the order of the work."""
    found = [
        "Look for wires and framing on the other side before drilling.",
        "Wear eye protection when cutting spring wire and drilling overhead: ends and chips fly. Leave a bend, a "
        "loop or a rounded end on all wire.",
        "Feed the servo from its own fused 5 V supply, never from a microcontroller's regulator; buy mains "
        "supplies enclosed and approved for your country.",
        "Unplug before reaching under the layout or into the drive. Where a step says power on, keep hands away: "
        "the arm moves without warning.",
    ]
    if spec.filament.softens_c < _HOT_LAYOUT_C:
        found.append(
            f"{spec.filament.name} softens near {spec.filament.softens_c:.0f} °C: "
            "use another filament in a loft or for a layout that travels in a car."
        )
    found.append("The printer's nozzle is hot: air the room, and keep small parts from children.")
    return tuple(found)
