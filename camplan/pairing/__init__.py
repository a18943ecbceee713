"""Plates that belong together, held against each other before anything is cut.

Takes the built features of several plates and a `Project`; gives them laid over each other, what was found of each
shared hole pattern and of each core in its cavity, and findings.  Knows no operation, program or proof, and never opens
a file.
"""
