"""Text to moves and moves to text, by a post definition.

Takes moves and a `Post`, gives lines of RS-274; takes any RS-274 text, gives moves with their line
numbers.  Never knows a feature.
"""
