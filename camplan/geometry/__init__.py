"""Points, arcs, chains, offsets and polygons; says nothing of milling.

Takes and gives (n, 2) float64 arrays in mm and frozen records of them.  Never knows a cutter, a
feature, a layer or a file.
"""
