"""How hard the wires of a joint are pulled."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.graph import Joint


def pulled(given: Given, joint: Joint) -> str:
    """The tug at each wire, and what a sample of the same crimp must hold."""
    size = given.joint_size(joint.id)
    results = size.sized.results if size is not None else ()
    held = [each for each in results if each.name == "pull_off"]
    by_itself = "each wire pulled by itself"
    if not held:
        return by_itself
    return f"{by_itself}, gently: a sample crimp holds {held[0].value:g} {held[0].unit}"
