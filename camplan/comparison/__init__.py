"""Wanted against removed: gouges, what was left, walls off size; the verdict.

Takes features and removed sections; gives a `Proof`.  Never imports what planned the program.
"""
