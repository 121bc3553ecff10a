"""What a person gets from the notebook: pages to print, and later the server on the local network.

Not for: computing (`scout.engine`) or keeping records (`scout.notebook`).
"""
