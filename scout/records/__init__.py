"""What is written down in the field: every kind of record, each field once.

Not for computing with them (`scout.engine`) nor for keeping them (`scout.notebook`).
"""
