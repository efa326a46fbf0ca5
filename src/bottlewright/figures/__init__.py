"""Figures as plain SVG: a sheet of shapes and words, scales with round ticks, and the house look.

Knows nothing of rockets. A sheet is laid out in points from its upper left corner, y downwards; its words stay words
and its colours are names, so that a page by day and by night gives them their own values.
"""
