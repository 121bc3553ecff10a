"""The tables behind the log: which days, who, where, and how each animal keeps its hours.

The stonechat comes 20 to 80 minutes after the sun has cleared its perch, stays short and is gone by
the middle of the morning; the deer come at dusk. Not for: writing records from them (`log`).
"""

from __future__ import annotations

# day, session, who, vantages in turn; last, a mark: s calm and clear, f end forgotten, o overcast
DAYS = """
2025-04-06 dawn Marn pump-house s
2025-04-12 dawn Marn pump-house
2025-04-19 dusk Marn bank-seat
2025-04-26 dawn Marn pump-house o
2025-05-03 dawn Ives track-end
2025-05-10 dawn Marn pump-house s
2025-05-11 dusk Marn bale-row
2025-05-18 dawn Marn root-plate
2025-05-24 dawn Marn hedge-foot,pump-house
2025-05-31 dawn Ives pump-house
2025-06-07 dawn Marn pump-house s
2025-06-14 dusk Marn ride-hide
2025-06-15 dawn Marn pump-house
2025-06-21 dusk Ives bank-seat
2025-06-28 dawn Marn bank-seat
2025-07-05 dawn Marn pump-house
2025-07-12 dusk Marn bale-row
2025-07-20 dawn Marn root-plate
2025-07-26 dawn Marn pump-house
2025-08-02 dusk Marn ride-hide
2025-08-09 dawn Ives pump-house
2025-08-16 dawn Marn bank-seat
2025-08-23 dusk Marn hedge-foot
2025-08-30 dawn Marn pump-house s
2026-03-14 dawn Marn pump-house s
2026-03-21 dusk Marn bank-seat
2026-03-28 dawn Marn pump-house s
2026-04-04 dawn Marn root-plate
2026-04-11 dawn Ives pump-house o
2026-04-18 dawn Marn pump-house s
2026-04-25 dusk Marn bale-row
2026-05-02 dawn Marn pump-house
2026-05-09 dawn Marn pump-house s
2026-05-09 dawn Ives hedge-foot s
2026-05-16 dawn Marn track-end
2026-05-23 dusk Marn ride-hide
2026-05-30 dawn Marn pump-house f
2026-06-06 dawn Marn bank-seat
2026-06-13 dusk Marn bank-seat
2026-06-20 dusk Marn hedge-foot s
2026-06-27 dawn Marn pump-house
2026-07-11 dawn Ives pump-house
2026-07-18 dusk Marn bale-row
2026-07-25 dawn Marn root-plate
2026-08-08 dawn Marn pump-house
2026-08-15 dusk Marn ride-hide
2026-08-22 dawn Marn pump-house
2026-09-05 dusk Marn root-plate
2026-09-12 dawn Marn pump-house
2026-09-19 dawn Marn root-plate
2026-09-26 dawn Marn pump-house s
2026-10-03 dusk Marn bank-seat
2026-10-10 dawn Marn pump-house,track-end
2026-10-17 dawn Marn ride-hide
2026-10-24 dusk Ives bale-row
2026-10-31 dawn Marn pump-house s
2026-11-01 dawn Marn bank-seat
2026-11-07 dawn Ives pump-house s
2026-11-12 dusk Marn bank-seat
2026-11-14 dawn Marn pump-house s
2026-11-14 dusk Marn bank-seat
"""
# (animal, session): the chance that it comes, minutes after its anchor (lowest, usual, highest),
# stay in seconds, how many stays at most. The stonechat's anchor at dawn is the sun on the
# perch, else sunrise or sunset.
ROUTINE = {
    ("stonechat", "dawn"): (0.62, (20, 42, 80), (25, 200), 3),
    ("stonechat", "dusk"): (0.3, (-95, -70, -45), (30, 150), 1),
    ("little-egret", "dawn"): (0.34, (5, 45, 110), (240, 1500), 1),
    ("little-egret", "dusk"): (0.2, (-80, -50, -20), (240, 900), 1),
    ("roe-deer", "dusk"): (0.55, (-45, 5, 25), (60, 420), 2),
    ("roe-deer", "dawn"): (0.12, (-25, -10, 15), (40, 180), 1),
    ("otter", "dawn"): (0.3, (-15, 5, 35), (20, 90), 1),
    ("otter", "dusk"): (0.15, (0, 15, 30), (20, 60), 1),
}
COMES_TO = {
    "ditch-post": "stonechat",
    "bramble-spray": "stonechat",
    "gorse-bank": "stonechat",
    "grey-boulder": "stonechat",
    "seep": "stonechat",
    "pool-margin": "little-egret",
    "hedge-gap": "roe-deer",
    "ride-end": "roe-deer",
    "brook-log": "otter",
}
DOINGS = {
    "stonechat": ("perched, tail flicking", "dropped to the grass and back", "sang", "with food"),
    "little-egret": ("stalking the edge", "stood hunched", "caught something small"),
    "roe-deer": ("crossed, browsing", "stood and looked back", "walked through"),
    "otter": ("over the log, upstream", "on the log, shook itself"),
}
# day and animal: what it did, and because of whom
REACTIONS = {
    ("2025-06-28", "little-egret"): ("looked up", "me"),
    ("2025-08-02", "roe-deer"): ("looked up", "other"),
    ("2025-08-16", "little-egret"): ("moved off", "me"),
    ("2026-04-25", "roe-deer"): ("alarm", "me"),
    ("2026-07-25", "otter"): ("left", "me"),
    ("2026-10-10", "stonechat"): ("looked up", "other"),
    ("2026-11-12", "roe-deer"): ("alarm", "me"),
    ("2026-11-14", "roe-deer"): ("moved off", "me"),
}
# Two observers on one morning; no blank there
TOGETHER = "2026-05-09"
SURE = {(TOGETHER, "stonechat"), *REACTIONS}
WARMTH_C = {3: 3, 4: 5, 5: 8, 6: 11, 7: 13, 8: 13, 9: 10, 10: 7, 11: 4}
# Days on which the place was measured too: after a dawn, or before a dusk
MEASURED_ON = (
    *("2025-04-06", "2025-04-12", "2025-05-03", "2025-05-18", "2025-05-24", "2025-06-14"),
    *("2025-06-28", "2025-08-23", "2026-05-09"),
)
REMARKS = {
    "2025-04-06": "First morning in the pump house. Measured the three lines from it.",
    "2025-07-26": "Meadow cut on Thursday.",
    "2026-05-09": "Two of us: Marn in the pump house, Ives under the hedge.",
    "2026-05-30": "End forgotten; left some time after eight.",
    "2026-09-05": "Put the trail camera at the log, with the keeper.",
    "2026-09-19": "Took the camera in.",
    "2026-10-17": "Sat for the seep. Nothing but two squirrels.",
}
