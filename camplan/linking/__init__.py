"""Passes in order, and the way between them.

Takes passes and what stands in the way; gives moves.  Never changes a pass.
"""
