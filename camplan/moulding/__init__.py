"""What a mould asks for: shrinkage, clamp force, runners, gates, vents, cooling.

Takes plastics, measured sizes, and areas, volumes and lengths as numbers; gives figures, each with its range, what it
rests on and its source.  Never sees a drawing or a feature, and never decides how anything is cut.
"""
