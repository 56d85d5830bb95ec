"""One small file for each thing that can go wrong or is worth saying.

A detector is fed once a reading with a ``Moment`` and answers with events. It raises a
condition once and clears it once; repeats are the alert book's business.
"""
