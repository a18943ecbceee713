"""Moves carve the stock: removed sections for the verdict, heights for pictures.

Takes motion tables read back from text, and cutters; gives shapely geometry and arrays.  Never
imports what planned the moves.
"""
