"""Looks: the figure style, the charts, the rocket's drawing and the report page.

Everything here takes arrays and text; nothing here knows what a flight or a vessel is.
"""
