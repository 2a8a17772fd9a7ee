"""What the desk calls the keys of a full plan, in the order of its cards; a * before a key folds it away."""

from __future__ import annotations

from reports.desk.cards.fields import Kind

AXES = ("from the hinge line", "left of the centreline", "above ground")
STRAIGHT_AXES = ("along the load", *AXES[1:])
POINTS = ("cg", "point", "head", "base", "anchor")

Labels = dict[str, str]

LOAD: Labels = {
    "weight": "What does it weigh, as a whole?",
    "end_weight": "What does a scale show under the lifting end?",
    "end_at": "How far ahead of the hinge line does that scale stand?",
    "cg": "Centre of gravity",
    "*motion": "Does the far end stay down?",
    "*pivot_height": "Hinge line above ground",
    "*take_up": "Ram travel spent before the load moves",
}
PIVOT: Labels = {
    "held": "What keeps the far end still?",
    "holds": "How much that holds fore and aft, at each of its two contacts",
    "track": "From its left contact to its right one",
    "friction": "Friction coefficient under it, from low to high",
}
NEED: Labels = {"rise": "How far has that point to rise?", "point": "The point that has to come up"}
LIFTER: Labels = {
    "head": "Where it meets the load",
    "base": "Where it stands",
    "angle": "How steep it stands, from horizontal",
    "foot": "Which way its foot stands from its head",
    "travel": "How far can the ram move?",
    "travel_per_pump": "Ram travel of one full stroke",
    "operator": "Who pumps",
    "rated_load": "Rated load, by its maker",
    "catcher": "Who works its capture",
    "tie.kind": "What ties its foot",
    "tie.to": "What that tie is made fast to",
    "tie.working_load_limit": "Working load limit of the tie, as marked",
    "*capture": "What captures on the ram itself",
    "*pump": "The pump that drives it",
    "*ram_area": "Of the ram's piston",
    "*base_area": "Its foot on the ground",
    "*friction": "Friction coefficient under its foot, from low to high",
    "*tie.length": "How long the tie is",
    "*tie.elongation": "Share of its length that it stretches at that limit",
    "*tie.size": "Of a chain: its size",
    "*tie.grade": "Of a chain: its grade",
    "*tie.width": "Of webbing: its width",
    "*give": "How far it gives under the load that its capture would catch",
    "*share": "Its part of the load, 0 to 1",
    "*handle_stroke": "How far the hand moves in one stroke",
}
STATION: Labels = {
    "side": "Which side it follows",
    "capture": "What captures there",
    "catcher": "Who works it",
    "head": "Where it meets the load",
    "base": "Where it stands",
    "angle": "How steep it stands, from horizontal",
    "foot": "Which way its foot stands from its head",
    "rated_load": "Rated load, by its maker",
    "tie.kind": "What ties its foot",
    "tie.slack": "Slack that the tie leaves at the start",
    "tie.working_load_limit": "Working load limit of the tie, as marked",
    "*tie.length": "How long the tie is",
    "*tie.elongation": "Share of its length that it stretches at that limit",
    "*tie.size": "Of a chain: its size",
    "*tie.grade": "Of a chain: its grade",
    "*tie.width": "Of webbing: its width",
    "*tie.to": "What the tie is made fast to",
    "*tube": "If it is a metal tube: outer diameter, wall",
    "*post": "If it is a timber post: its size",
    "*material": "What it is made of",
    "*yield": "Yield stress of its metal",
    "*base_area": "Its foot on the ground",
    "*friction": "Friction coefficient under its foot, from low to high",
    "*give": "How far it gives under the load it would catch",
}
LEADER: Labels = {
    "strokes": "How many strokes a call?",
    "gap_limit": "With how large a gap do you still call?",
    "pace": "Shortest time from call to call",
    "*look": "To look and decide after a hold",
    "*level_limit": "Sides further apart than this: only the low one is called",
    "*step": "How far does one lowering call come down?",
    "*rule": "Do you hold the calls for a gap?",
    "*if_uncapturable": "All caught and a gap still over the limit",
}
LIMITS: Labels = {
    "gap": "Largest gap wanted",
    "drop": "Largest drop wanted",
    "*design_factor": "Rated over carried, at least",
}
GROUND: Labels = {
    "soil": "What do the feet stand on?",
    "*bearing": "What the ground bears, if known",
    "*edge": "From the nearest foot to a hole or edge",
    "*depth": "How deep that hole is",
}
STAGE: Labels = {
    "do": "What is done",
    "to": "Up to",
    "time": "Stand for",
    "leader.strokes": "Strokes a call in this stage",
    "leader.step": "How far does one lowering call come down in this stage?",
}
START: Labels = {"rise": "How far has that point risen already?"}
CREW: Labels = {"people": "How many people are there, the leader among them?"}
OPERATOR: Labels = {
    "stroke": "One working movement of the handle",
    "recover": "Bringing the handle back",
    "react": "From the call to the first stroke",
    "*lowering": "How fast the ram comes down while the valve is open",
    "*close": "To shut the valve",
    "*fill": "Share of a full stroke that each delivers",
    "*miss": "Chance that a call is missed",
}
CATCHER: Labels = {"walk": "To walk from one place to another"}
DEVICE: Labels = {
    "rise_per_turn": "What one turn gains",
    "turns": "How fast it is turned",
    "spacing": "From one to the next",
    "swap": "To move the pin",
    "rehook": "To hook the chain up again",
    "click": "What one click takes up",
    "click_time": "One click",
    "reach": "How far it can be taken up in all",
    "pieces": "Cribbing pieces",
    "wedge": "Largest gap that a pair of wedges takes up",
    "place": "To place a piece",
    "drive": "To drive the wedges",
    "seat": "To seat it",
    "react": "To see it and begin",
    "*timber": "Timber: its size",
    "*timber_length": "Timber: its length",
    "*per_layer": "Pieces in a layer",
    "*species": "Timber: its species",
    "*first_hole": "Where the first hole comes up",
    "*first_link": "Where the first link comes up",
    "*pin_out": "While the pin is out",
    "*chases": "When it is turned",
    "*wedge_out": "While the wedges are changed",
    "*wet": "Is the timber wet?",
}
NUMBERS: dict[str, Kind] = {
    "strokes": "whole", "people": "whole", "per_layer": "whole", "grade": "whole", "share": "number",
    "elongation": "number", "friction": "band", "design_factor": "number", "miss": "number", "fill": "number",
    "capture": "list", "pieces": "list", "catcher": "names", "timber": "text", "species": "text",
    "tube": "list", "post": "text", "material": "text",
}  # fmt: skip
SAID = {
    "hinged": "yes: it turns about it",
    "straight": "no: all of it goes up, level",
    "left": "the left",
    "right": "the right",
    "both": "both",
    "stop-until-caught": "yes: no call over the gap limit",
    "keep-pace": "no: call on, whatever the gaps",
    "go-on": "call on",
    "stop": "end the lift",
    "with": "while the load moves",
    "after": "when it has stopped",
    "open": "it is open",
    "held": "something holds it",
    "out": "away from the load",
    "in": "under the load",
    "raise": "up",
    "hold": "stand",
    "lower": "and down again",
    "true": "yes",
    "false": "no",
    "chocked": "chocks both ways",
    "chocked-ahead": "chocks ahead only, towards the lifters",
    "chocked-behind": "chocks behind only",
    "brakes": "brakes only, no chock",
    "nothing": "nothing: it can move",
    "ground": "something that is not lifted",
    "load": "the load",
    "pivot": "what the load turns about",
}  # what a value is called where it is chosen
KINDS = {"collar": "collar", "pin": "pin", "chain": "chain", "strap": "ratchet strap", "crib": "cribbing"}
