"""What was found, said to a person: summary text, ``plan.json``, the HTML setup sheet, SVG pictures.

Takes a `Plan`; gives strings.  Never computes a figure of its own and never prints.
"""
