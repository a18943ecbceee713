"""What is wanted, as sections.

Takes the specs of a job and the regions of a drawing; gives features whose `may` and `must`
say, height by height, what may and what must be removed.  Never knows a path or a program.
"""
