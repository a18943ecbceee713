"""What was found, said to a person: summary text, ``plan.json``, the HTML setup sheet, SVG pictures, output files.

Takes a `Plan`; gives strings.  Decides nothing and never prints; the sizes to measure are all that it works out for
itself, from the features.  Only `camplan.report.files` touches the disk.
"""
