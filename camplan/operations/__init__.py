"""Feature by cutter by cutting data: which cutter does what, in which order.

Takes features, the shelf, a material and a machine; gives `Operation` records and findings for
what no cutter can do.  Never makes a path.
"""
