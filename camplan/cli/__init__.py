"""Arguments, printing and exit codes: the only room that prints."""
