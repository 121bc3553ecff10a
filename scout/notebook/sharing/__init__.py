"""What leaves the notebook: one door that coarsens and withholds, and the formats behind it.

Not for: the whole notebook on its way to its owner (`folder_writing`, `backups`).
"""
