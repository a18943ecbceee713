"""Drawing files turned into named layers of exact lines and arcs in mm.

Takes DXF files; gives `Drawing` records with findings on every repair, duplicate and open end.
Never knows what a layer is for.
"""
