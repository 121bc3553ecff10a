"""The computation: sun, light, sightlines, presence, and the decision made from them.

Pure Python that runs unchanged on the server and, inside a web worker, on the phone. Nothing
here reads or writes a file, asks the clock or touches the network (zoneinfo and pygeomag read
their own packages' data: the only reading there is). It imports `scout.records` and itself.
Not for storing or showing anything; the way in from outside is `scout.engine.calls`.
"""
