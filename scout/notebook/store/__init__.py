"""The notebook's database: SQLite, plain STRICT tables that read well in any SQLite browser.

All SQL of the project is in this folder, so that another database stays a port. The journal is what
is kept; heads and the tables of records are a cache of it and can be made again row for row. Not
for: deciding what a change means (`scout.notebook.merge`) or whether it may come in
(`scout.notebook.judging`).
"""
