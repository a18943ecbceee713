"""How a cutter removes a feature: rough, corners, wall, floor, drill, groove, mark.

Takes an operation and the stock's section; gives passes.  Never knows a machine's rapids or a post.
"""
