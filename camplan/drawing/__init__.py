"""Drawing files turned into named layers of exact lines and arcs in mm.

Takes DXF files (`reading.read_drawing`); gives `records.Drawing` with findings on every repair, duplicate, branch
and thing left out; open ends are told to whoever needs closed contours (`ends.open_ends`).  Never knows what a
layer is for.
"""
