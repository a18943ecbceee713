"""Chips, forces, power, bending and limits turned into cutting data with reasons.

Takes a cutter, a material, a machine and one cut; gives `CuttingData`.  Never knows a drawing.
"""
