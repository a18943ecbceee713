"""What was measured: where a plate lies, how big a feature came out, and what to cut next.

Takes readings and the plan that they belong to; gives a plate's place, sizes with their uncertainty, and journals.
Never reads drawings, never writes programs, never guesses what was not measured.
"""
