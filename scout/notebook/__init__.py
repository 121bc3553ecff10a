"""What is recorded, and where it is kept: folders of records on a disk.

Not for: the kinds of record and their fields (`scout.records`), nor for computing with them
(`scout.engine`).
"""
