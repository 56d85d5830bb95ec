"""A firing's report for the page, made in a process that lives no longer than that takes."""
