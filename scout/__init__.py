"""The scouting notebook: record in the field, compute the light, decide the night before."""
