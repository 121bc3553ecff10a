"""What a person can ask for at the terminal, a command a module, and the reading of what is typed.

A command reads the folder, builds the engine's request, and hands the answer to `scout.terminal`.
Not for: computing, or how an answer looks.
"""
