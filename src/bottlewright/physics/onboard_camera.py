"""What a camera on the rocket sees, by plain geometry. docs/physics/recovery.md §6."""

import math

__all__ = ["seen_width", "smear", "swept"]


def seen_width(height: float, angle: float) -> float:
    """Width of ground in the picture of a camera that looks straight down, m: 2 h tan(θ/2)."""
    return 2.0 * height * math.tan(0.5 * angle)


def smear(turns: float, exposure: float, pixels: int) -> float:
    """How far the edge of the picture moves while it is taken, in pixels, as the camera turns about its line of sight.

    Parameters
    ----------
    turns
        A second.
    exposure
        s.
    pixels
        Across the picture.
    """
    return 2.0 * math.pi * turns * exposure * 0.5 * pixels


def swept(rate: float, exposure: float, angle: float, pixels: int) -> float:
    """How far the middle of the picture moves while it is taken, in pixels, as the line of sight swings.

    Parameters
    ----------
    rate
        Of the swing, rad/s.
    exposure
        s.
    angle
        Of view, across the picture, rad.
    pixels
        Across the picture.
    """
    return rate * exposure * pixels / (2.0 * math.tan(0.5 * angle))
