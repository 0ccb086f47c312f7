"""Making up: what is done to the cut cloth, in which order and why, with which stitch, thread, needle and care.

A reader of the pattern and the cloth. `operation` holds the nouns, `order` finds the order; nothing here prints.
"""
