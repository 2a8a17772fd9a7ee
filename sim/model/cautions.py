"""What stands at the foot of everything that is printed, shown or written."""

CAUTIONS = (
    "Training and planning aid. Never work under a load held only by a jack.",
    "Equipment makers' instructions, local codes and the qualified people on scene decide.",
)
CAUTION = " ".join(CAUTIONS)
