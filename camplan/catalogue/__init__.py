"""Cutters, materials and machines, read from TOML in ``tooling/``.

Takes names and folders, gives validated records; refuses a file whose figures are missing,
wrong-signed or impossible, naming file and key.  Never decides how anything is cut.
"""
