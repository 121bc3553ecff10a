"""What comes in from other hands: read into a list to look through; nothing lands by itself.

Not for: folders of records (`folder`), or what phones send (`intake`).
"""
