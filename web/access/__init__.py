"""Who may read and write: PIN, sessions, patience with wrong PINs, and the layer that asks.

Knows people and requests, nothing of kilns. Where anything is kept is the service's business.
"""
