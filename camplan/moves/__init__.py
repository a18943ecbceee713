"""What a machine does, move by move, and how long it takes.

Takes nothing but numbers; gives `Move` records, the `MotionTable` of arrays that simulation,
timing and pictures read, and machine time.  Never knows a feature, a post or a file.
"""
