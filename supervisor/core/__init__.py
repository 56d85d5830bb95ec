"""The pure core: no clock, no sockets, no asyncio, no logging, no file but packaged tables.

The same code serves a live firing, a replay and a simulation, and gives the same events for
the same readings. Temperatures inside are degrees Celsius, times are seconds.
"""
