"""How residues are handled and drawn: group, texture, cells, shelf life, palatability, cautions, everyday names.

Judgement throughout, beside the remarks of the open table; read by build_reference.py.
"""

from __future__ import annotations

import re
from collections import Counter

WITHOUT_ORGANIC_MATTER = ("wood_ash", "eggshell", "biochar")
"""Ash, lime and charcoal: they are not made of what rots, so the model cannot hold them."""
ALSO = {
    "leaf_municipal": "dry leaves;autumn leaves;fall leaves;leaves;fallen leaves;tree leaves;brown leaves;leaf litter",
    "leaf_shredded": "shredded leaves;chopped leaves;mown leaves",
    "grass_clip": "grass clippings;clippings;lawn clippings;mowings;lawn mowings;cut grass;fresh grass;grass",
    "grass_dried": "dried grass clippings;dried clippings;wilted clippings",
    "straw_general": "straw",
    "cardboard": "cardboard;corrugated card;shredded card;card;shredded cardboard",
    "food_scraps": "kitchen scraps;kitchen waste;vegetable scraps;vegetable peelings;peelings;scraps;food scraps;"
    "food waste",
    "woodchip": "wood chips;woodchips;arborist chips;chips",
    "hay_grass": "hay;grass hay",
    "coffee_grounds": "coffee grounds;used coffee",
    "comfrey": "comfrey",
    "weeds_pulled": "pulled weeds;weeds;weedings",
    "newsprint": "newspaper;shredded newspaper",
    "paper_mixed": "paper;shredded paper",
    "seaweed_generic": "seaweed",
    "shrub_trim": "prunings;shrub prunings;shredded prunings;twigs;branches;shredded branches",
    "hedge_privet": "hedge clippings;hedge trimmings",
    "yard_mixed": "garden waste;garden trimmings",
    "nettle_young": "young nettles;nettle tops",
    "weed_nettle": "nettles;stinging nettles",
    "sawdust": "sawdust",
    "leafmould": "leaf mould;leaf mold",
    "compost_home": "home compost;compost",
    "compost_green": "green compost",
    "cc_ryegreen": "rye;green rye;cut rye",
    "cc_hvetch": "vetch;hairy vetch",
    "cc_redclover": "clover;red clover",
    "cc_phacelia": "phacelia",
    "man_rabbit": "rabbit manure;guinea-pig manure",
    "man_horse_straw": "horse manure",
    "man_layer": "chicken manure;hen manure",
    "top_tomato": "tomato vines;tomato plants",
    "top_bean": "bean plants;bean haulm",
    "top_pea": "pea haulm;pea plants",
    "top_broccoli": "brassica leaves;cabbage leaves",
    "needle_pine": "pine needles;pine straw",
    "ramial": "ramial wood chips;twig chips",
    "bracken_green": "bracken",
}
WOODY = ("prun_", "woodchip", "ramial", "bark_", "shrub_trim", "sawdust", "shavings", "nut_shell", "tree_trim")
CHIPS = ("woodchip", "ramial", "bark_", "prun_", "nut_shell")
COARSE = (
    *("stalk_", "stover_", "corn_stalks", "corn_cobs", "shrub_trim", "tree_trim", "de_miscanthus", "reed_dry"),
    *("de_maizestraw", "peanut_shell"),
)
SHAPES = {  # group and texture where class, name and moisture of the open table do not tell
    "grass_dried": ("dry", "hay"),
    "cc_ryeanth": ("soft fresh", "clippings"),
    "de_wholecereal": ("soft fresh", "clippings"),
    "de_meadow1": ("soft fresh", "clippings"),
    "de_meadow2": ("soft fresh", "clippings"),
    "de_hemp": ("soft fresh", "weeds"),
    "corn_cobs": ("dry", "chips"),
    "peanut_shell": ("dry", "chips"),
    "hull_sunfl": ("dry", "chips"),
    "gin_trash": ("dry", "straw"),
    "coffee_chaff": ("dry", "mull"),
    "paper_crumble_chem": ("other", "mull"),
    "spent_grain": ("soft fresh", "scraps"),
    "citrus_pulp": ("soft fresh", "scraps"),
    "hops_spent": ("soft fresh", "scraps"),
    "bokashi": ("soft fresh", "scraps"),
    "scrap_grapeleaf": ("soft fresh", "weeds"),
    "scrap_pumpkinleaf": ("soft fresh", "weeds"),
    "scrap_sweetpotleaf": ("soft fresh", "weeds"),
}
BROKEN_CELLS = ("spent_grain", "citrus_pulp", "hops_spent", "bokashi", "apple_pomace", "coffee_grounds", "tea_leaves")
"""Wet and soft, yet boiled, pressed, soured or ground: water runs out of them as out of dried tissue."""
PALATABILITY = {  # liking by worms where the texture does not tell
    **dict.fromkeys(("needle_pine", "needle_slash", "needle_fir", "leaf_conifer", "leaf_euc", "leaf_rhodo"), 0.3),
    **dict.fromkeys(("leaf_oak", "leaf_beech", "leaf_sycamore", "leaf_olive", "leaf_walnut"), 0.45),
    **dict.fromkeys(("leaf_ash", "leaf_alder", "leaf_lime", "leaf_cherry"), 0.8),
    **dict.fromkeys(("scrap_lemonpeel", "scrap_orangepeel", "citrus_pulp", "scrap_garlic", "scrap_onion"), 0.3),
    **dict.fromkeys(("grass_dried", "hay_legume", "alfalfa_hay_young", "alfalfa_hay_mature"), 0.8),
    **dict.fromkeys(("wool", "hair", "coir", "peat", "hull_soy"), 0.2),
}
CAUTION_WORDS = [  # whole words in the remark of the open table, and the caution they stand for
    (r"manure", "raw_manure"),
    (r"do not use on food beds", "sewage"),
    (r"herbicide|weedkiller|clopyralid", "persistent_herbicide"),
    (r"seeds?|seeding|self-seeds|volunteers", "seeding"),
    (r"resprout|re-roots?|re-root when laid|regrows?|rhizomes?|roots from nodes|stolons root|stems root", "regrowth"),
    (r"blight|clubroot|rot|virus|mildew|canker|fusarium|verticillium|scab|rust|dieback", "plant_disease"),
    (r"salts?|salted", "salt"),
    (r"slime|slimy", "slime"),
    (r"fruit fly|fruit flies|flies|rats|rodents?|wasps", "vermin"),
    (r"carcinogen|carcinogenic|toxic|poison|alkaloids|burns skin", "toxic_plants"),
    (r"dust|legionella", "dust"),
    (r"allelopathic|germination|growth inhibited|juglone", "germination"),
]
NOT_A_CAUTION = {  # the remark says that there is none, or means another thing
    *(("straw_rye", "seeding"), ("grape_pomace", "seeding"), ("nettle_young", "seeding"), ("nettle_young", "regrowth")),
    *(("food_scraps", "salt"), ("cc_ryeanth", "slime"), ("scrap_potato", "seeding"), ("leaf_municipal", "germination")),
    *((key, "kitchen_scraps") for key in ("spent_grain", "citrus_pulp", "hops_spent")),
}
ALSO_CAUTION = {
    "grass_dried": ["persistent_herbicide"],
    "scrap_potato": ["regrowth"],
    "cardboard": ["coated_card"],
    "paper_mixed": ["coated_card"],
    "newsprint": ["coated_card"],
}
PLAIN_NAMES = {"nettle_young": "Stinging nettle, young leafy tops"}
"""Names where the open table names the sample that was measured instead of what is gathered."""
NO_NAMES = {"young", "hay or fresh cut", "cover crop", "fern"}
"""Names of the open table that say nothing about one row."""


def shape(key: str, kind: str, moist: float) -> tuple[str, str]:
    """Return group and texture from name, class and moisture [fraction] of the open table."""
    if key in SHAPES:
        return SHAPES[key]
    if kind == "other":
        return "other", "mull"
    if key.startswith(WOODY) or key == "tree_trim":
        group = "woody"
    elif kind == "brown" or moist < 0.4:
        group = "dry"
    else:
        group = "soft fresh"
    if key.startswith(("grass_clip", "cc_", "de_", "aqua_")) and group == "soft fresh":
        texture = "clippings"
    elif "hay" in key or key.startswith("grass_prairie"):
        texture = "hay"
    elif group == "woody":
        texture = "chips"
    elif key.startswith(("leaf_", "needle_")):
        texture = "leaves"
    elif key.startswith(("straw_", "stover_", "stalk_", "de_", "corn_st", "reed", "bagasse", "rice_h")):
        texture = "straw"
    elif key in ("cardboard", "newsprint", "paper_mixed", "office_paper", "paper_bag", "egg_carton") or "paper" in key:
        texture = "card"
    elif key.startswith(("scrap_", "food", "veg", "fruit", "potato_cull", "coffee", "tea", "apple", "tomato_w")):
        texture = "scraps"
    elif group == "soft fresh":
        texture = "weeds"
    else:
        texture = "mull"
    return group, texture


def cells(key: str, group: str) -> str:
    """Return whether the cells are intact as a residue is usually laid."""
    return "intact" if group == "soft fresh" and key not in BROKEN_CELLS else "broken"


def shelf(text: str, group: str) -> str:
    """Return the days a residue can wait, nothing for a season or more; all from memory."""
    if text.startswith("weeks to months"):
        return "28"
    if text.startswith("whole: months"):
        return "60"
    if text.startswith("weeks") and group != "dry":
        return "21"
    if group == "soft fresh":
        soon = text.startswith(("hours", "1-3 days", "use the same day")) or "fresh 1-2 days" in text
        return "2" if soon else "3"
    return "3" if text == "days" else ""


def size_factor(key: str, texture: str) -> float:
    """Return the factor of coarse pieces on the main pool's rate."""
    if key.startswith(CHIPS):
        return 0.5
    if key.startswith(COARSE):
        return 0.7
    return 0.8 if texture == "straw" else 1.0


def cautions(key: str, remark: str, group: str, texture: str) -> list[str]:
    """Return the cautions a remark of the open table stands for, and those of its kind."""
    words = [
        word
        for pattern, word in CAUTION_WORDS
        if re.search(rf"(?<![\w-])(?:{pattern})(?![\w-])", remark, re.IGNORECASE)
    ]
    words += ALSO_CAUTION.get(key, [])
    if group == "soft fresh" and texture == "clippings":
        words.append("slime")
    if texture == "scraps":
        words.append("kitchen_scraps")
    return [word for word in dict.fromkeys(words) if (key, word) not in NOT_A_CAUTION]


def other_names(heads: dict[str, dict[str, str]]) -> dict[str, list[str]]:
    """Return what else each residue is called; a name two rows claim goes to none, unless it was given by hand."""
    by_hand = {name for names in ALSO.values() for name in names.split(";")}
    traded = {key: [name.strip() for name in re.split(r"[,/]", head["trade_names"])] for key, head in heads.items()}
    claims = Counter(name.casefold() for names in traded.values() for name in names)
    return {
        key: [
            *(name for name in ALSO.get(key, "").split(";") if name),
            *(n for n in names if n and claims[n.casefold()] == 1 and n.casefold() not in by_hand | NO_NAMES),
        ]
        for key, names in traded.items()
    }
