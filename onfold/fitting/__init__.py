"""Fitting: what a maker sees at the try-on, its likely causes ranked by this draft, and the change each one asks for.

A reading of draft and ticket. A fitting never falsifies the body: it changes a choice, a figure note or a step, or
asks for a measure to be taken again.
"""
