"""The land as elevation models tell it: heights, skylines, lines of sight, light, places to sit.

Runs on the laptop alone (numpy, rasterio). Everything it finds becomes records and layers, and so
the phone has it. Not for: files of the notebook's own, HTTP, or words on a card.
"""
