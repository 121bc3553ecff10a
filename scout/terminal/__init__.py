"""How answers of the engine look in a terminal: plain ink, no colour, at any width.

Each module takes an answer as JSON and prints it. Not for: computing or reading anything.
"""
