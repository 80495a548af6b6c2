"""Typed text to a stored value: quantities with their units, unit endings of columns, sieves.

Stored units only come out: g, mg, mm, L/min, deg, C, kg/h, min, rpm, %. What can be read in two ways is asked
back, never guessed.
"""
