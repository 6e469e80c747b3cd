"""What is asked of every scenery shell, on the meshes as exported."""

from __future__ import annotations

from made import Mount, kept

from mounts import scene

TOUCH_MM3 = 0.05  # float32 corners of faces that touch


def housing(style: str, **options: object) -> Mount:
    """A housing of the style on 12 mm of board in N, 32 mm from the track."""
    return kept(options, style=style, scale="N", board="12 mm", track_distance="32 mm")


def lifted_cut_mm3(mount: Mount) -> float:
    """Volume that frame, servo and arm share with what is lifted off, over the first 40 mm of its way up.

    Each lift-off part is moved up in steps; only a snap may touch, and it does not in the first position.
    """
    inside = scene.mount_body(mount.meshes, without=mount.design.plan.lift_off) + scene.servo_body(mount.design)
    off = [mesh for mesh in mount.meshes if mesh.name in mount.design.plan.lift_off]
    shell = scene.mount_body(off)
    return max((inside ^ shell.translate([0.0, 0.0, up])).volume() for up in (0.0, 5.0, 10.0, 20.0, 40.0))
