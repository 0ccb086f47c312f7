"""The kernel: lines and cubics on a plane in millimetres, Y up; pure functions that know nothing of a garment.

`curve` and `meet` work on batches of cubics as plain arrays, `path` holds a run of them, `smooth` lays one through
points, `offset` draws the cut line round a seam line, `region` is the one door to shapely, `fall` knows how a hanging
edge hangs. What cannot be done comes back as a `fault.Fault` with a plain reason; user content raises nothing here.
"""
