"""Bottlewright: from a sketch to a recovered water rocket.

SI units everywhere inside (m, kg, s, Pa absolute, K, rad); units in text and in key names at the edge only.
"""

__version__ = "0.1.0"
