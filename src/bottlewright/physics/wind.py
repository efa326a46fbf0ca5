"""Mean wind over the ground by height.

Both laws carry a wind measured at one height to every other. They are pieced together so that speed and its slope are
continuous everywhere and the speed never turns negative:

* under a blending height z_b the law gives way to the cubic s² [3 − α − (2 − α) s], s = z/z_b, α = dln(u)/dln(z) at
  z_b, which meets the law in value and slope and is still at the ground;
* above 200 m the height is replaced by 200 m + w x/(1 + x), x = (z − 200 m)/w, w = 200 m, which never passes 400 m:
  the surface layer that the laws describe ends there (our judgement).
"""

import math

from bottlewright.physics import inline_jit, jit

__all__ = ["LINEAR", "LOG", "POWER", "wind_at"]

POWER, LOG, LINEAR = 0, 1, 2

_BLEND_POWER = 0.1
_BLEND_LOG = 4.0
_TOP, _FADE = 200.0, 200.0


@jit
def _cubic(s: float, slope: float) -> float:
    return s * s * (3.0 - slope - (2.0 - slope) * s)


@jit
def _levelled(z: float) -> float:
    if z <= _TOP:
        return z
    x = (z - _TOP) / _FADE
    return _TOP + _FADE * x / (1.0 + x)


@inline_jit
def wind_at(
    z: float, speed: float, measured_at: float, law: int, exponent: float, roughness_length: float, shear: float = 0.0
) -> float:
    """Mean wind speed at a height above the ground, m/s; nothing at and below the ground.

    Power law u = u_r (z/z_r)^α and logarithmic law of a neutral surface layer, u = u_r ln(z/z₀)/ln(z_r/z₀) (any text on
    wind engineering; EN 1991-1-4 eq. 4.4 has the second). No displacement height. A wind that was measured lower than
    the blending height (0.1 m; four roughness lengths for the log law) counts as measured at that height, because
    nothing sensible follows from an anemometer between the obstacles.

    Parameters
    ----------
    z
        Height above the ground, m.
    speed, measured_at
        Measured wind speed and the height of the measurement, m/s and m.
    law
        `POWER`, `LOG` or `LINEAR`.
    exponent
        α of the power law.
    roughness_length
        z₀ of the log law, m.
    shear
        Growth of the linear law, 1/s: u = u_r + shear (z − z_r), as read off a profile that somebody measured; neither
        levelled above nor blended to the ground, but never below nothing.
    """
    if z <= 0.0:
        return 0.0
    if law == LINEAR:
        return max(speed + shear * (z - measured_at), 0.0)
    if law == LOG:
        low = _BLEND_LOG * roughness_length
        reference = math.log(_levelled(max(measured_at, low)) / roughness_length)
        if z < low:
            log_low = math.log(_BLEND_LOG)
            return speed * log_low / reference * _cubic(z / low, 1.0 / log_low)
        return speed * math.log(_levelled(z) / roughness_length) / reference
    reference = _levelled(max(measured_at, _BLEND_POWER))
    if z < _BLEND_POWER:
        return float(speed * (_BLEND_POWER / reference) ** exponent * _cubic(z / _BLEND_POWER, exponent))
    return float(speed * (_levelled(z) / reference) ** exponent)
