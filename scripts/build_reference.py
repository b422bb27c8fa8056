"""Build the tables in src/mullbed/reference from the open tables beside the project.

Run by hand when the open tables change: ``python scripts/build_reference.py ../shared/data``. The result is
committed; nothing reads the open tables at run time. Each number keeps its own source and evidence class.
"""

from __future__ import annotations

import csv
import re
import statistics
import sys
from pathlib import Path

OUT = Path(__file__).parent.parent / "src" / "mullbed" / "reference"
EVIDENCE = {"published": "published", "derived": "worked out", "memory": "a guess"}

SOURCES = [  # the pattern that stands first in the source text gives the key
    ("USDA National Nutrient", "usda2014"),
    ("Aguilera", "aguilera2025"),
    ("Duengeverordnung", "duev2021"),
    ("RB209", "ahdb2021"),
    ("How to Mix", "rynk1992"),
    ("NRAES", "rynk1992"),
    ("Provincial composting", "province2008"),
    ("provincial factsheet", "province2008"),
    ("Heckman", "heckman1996"),
    ("Ottmar", "ottmar2007"),
    ("NRCS", "nrcs2011"),
    ("NASEM", "nasem2021"),
    ("LIDET", "harmon2013"),
    ("Harmon, Fasth", "harmon2013b"),
    ("swolfpy", "sardarmehni2022"),
    ("Sardarmehni", "sardarmehni2022"),
    ("Lam, Sokhansanj", "lam2008"),
    ("Adhikari", "adhikari2016"),
    ("Turgeon", "turgeon1979"),
    ("Vazquez", "vazquez2017"),
    ("Missouri", "missouri_g6958"),
    ("Sarquis", "sarquis2022"),
    ("aridec", "sarquis2022"),
    ("GLOPNET", "wright2004"),
    ("EPA", "usepa2016"),
    ("Pujol", "pujol2013"),
    ("Flannery", "flannery_fs117"),
    ("memory", "from_memory"),
]

PROPERTIES = {
    "moisture_wb_pct": ("moisture", 0.01),
    "N_pct_dry": ("nitrogen", 0.01),
    "C_pct_dry": ("carbon", 0.01),
    "P_pct_dry": ("phosphorus", 0.01),
    "K_pct_dry": ("potassium", 0.01),
    "lignin_pct_dry": ("lignin", 0.01),
    "bulk_density_loose_kg_m3": ("loose_density", 1.0),
    "bulk_density_settled_kg_m3": ("settled_density", 1.0),
}
ALSO = {
    "leaf_municipal": "dry leaves;autumn leaves;leaves;fallen leaves;leaf litter",
    "leaf_shredded": "shredded leaves;chopped leaves;mown leaves",
    "grass_clip": "grass clippings;clippings;lawn clippings;mowings;lawn mowings;cut grass",
    "grass_dried": "dried grass clippings;dried clippings;wilted clippings",
    "straw_general": "straw",
    "cardboard": "cardboard;corrugated card;shredded card;card;shredded cardboard",
    "food_scraps": "kitchen scraps;kitchen waste;vegetable scraps;scraps;food scraps",
    "woodchip": "wood chips;woodchips;arborist chips;chips",
    "hay_grass": "hay;grass hay",
    "coffee_grounds": "coffee grounds;used coffee",
    "comfrey": "comfrey",
    "newsprint": "newspaper;shredded newspaper",
    "paper_mixed": "paper;shredded paper",
    "seaweed_generic": "seaweed",
    "shrub_trim": "prunings;shrub prunings;shredded prunings",
    "hedge_privet": "hedge clippings;hedge trimmings",
    "yard_mixed": "garden waste;garden trimmings",
    "nettle_young": "nettle powder",
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
    "needle_pine": "pine needles",
    "ramial": "ramial wood chips;twig chips",
    "bracken_green": "bracken",
}
WOODY = ("prun_", "woodchip", "ramial", "bark_", "shrub_trim", "sawdust", "shavings", "nut_shell", "leaf_conifer_wood")
CHIPS = ("woodchip", "ramial", "bark_", "prun_", "nut_shell")
COARSE = ("stalk_", "stover_", "corn_stalks", "corn_cobs", "shrub_trim", "de_miscanthus", "reed_dry", "de_maizestraw")
CAUTION_WORDS = [
    ("MANURE", "raw_manure"),
    ("herbicide", "persistent_herbicide"),
    ("seed", "seeding"),
    ("resprout", "regrowth"),
    ("re-root", "regrowth"),
    ("regrow", "regrowth"),
    ("blight", "plant_disease"),
    ("clubroot", "plant_disease"),
    ("rot", "plant_disease"),
    ("virus", "plant_disease"),
    ("mildew", "plant_disease"),
    ("canker", "plant_disease"),
    ("salt", "salt"),
    ("slime", "slime"),
    ("fruit fl", "vermin"),
    ("rats", "vermin"),
    ("rodent", "vermin"),
    ("wasp", "vermin"),
    ("carcinogen", "toxic_plants"),
    ("toxic", "toxic_plants"),
    ("poison", "toxic_plants"),
    ("dust", "dust"),
    ("Legionella", "dust"),
    ("allelopath", "germination"),
    ("germination", "germination"),
]


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as handle:
        return list(csv.DictReader(line for line in handle if not line.startswith("#")))


def source_key(text: str) -> str:
    found = [(text.find(pattern), key) for pattern, key in SOURCES if pattern in text]
    return min(found)[1] if found else "single_papers"


def number(text: str) -> float | None:
    return float(text) if text.strip() else None


def shape(key: str, kind: str, moist: float) -> tuple[str, str]:
    """Return group and texture."""
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
    elif key in ("grass_dried",) or "hay" in key or key.startswith(("de_meadow", "grass_prairie")):
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


def shelf(text: str, group: str) -> str:
    if group == "soft fresh":
        return "2" if "hours" in text else "3"
    if text.startswith("weeks"):
        return "21"
    return ""


def residues(data: Path) -> None:
    heads = {row["id"]: row for row in rows(data / "materials_residues.csv")}
    values: dict[tuple[str, str], dict[str, str]] = {}
    table = []
    for row in rows(data / "materials_values.csv"):
        if row["property"] not in PROPERTIES:
            continue
        name, factor = PROPERTIES[row["property"]]
        typical, low, high = (number(row[column]) for column in ("typical", "low", "high"))
        if typical is None:
            continue
        values[row["material_id"], name] = row
        detail = re.sub(r"USDA National Nutrient Database[^,]*, abbreviated file \([^)]*\), ", "", row["source"])
        table.append(
            [
                row["material_id"],
                name,
                *("" if one is None else f"{one * factor:.6g}" for one in (low, typical, high)),
                EVIDENCE[row["status"]],
                source_key(row["source"]),
                " ".join(detail.split())[:160],
            ]
        )
    # carbon where missing or impossible: 46 % of dry matter, as for nearly all plant matter
    known = {(line[0], line[1]): line for line in table}
    for key in heads:
        carbon = known.get((key, "carbon"))
        if carbon is None:
            table.append([key, "carbon", "", "0.46", "", "a guess", "mullbed_model", "no carbon published for it"])
        elif not 0.2 <= float(carbon[3]) <= 0.6:
            carbon[2:8] = [
                "",
                "0.46" if float(carbon[3]) > 0.6 else "0.2",
                "",
                "a guess",
                "mullbed_model",
                f"printed {carbon[3]} cannot be carbon of dry matter",
            ]
    weeds = [key for key in heads if key.startswith("weed_")]
    for name in ("moisture", "nitrogen", "carbon", "loose_density"):
        found = sorted(float(known[key, name][3]) for key in weeds if (key, name) in known)
        middle = statistics.median(found)
        cuts = statistics.quantiles(found, n=10)
        low, high = min(cuts[0], middle), max(cuts[-1], middle)
        table.append(
            [
                "weeds_pulled",
                name,
                f"{low:.4g}",
                f"{middle:.4g}",
                f"{high:.4g}",
                "worked out",
                "mullbed_model",
                f"10th, 50th and 90th percentile of {len(found)} weeds in this table",
            ]
        )
    heads["weeds_pulled"] = {
        "id": "weeds_pulled",
        "name": "Pulled weeds, mixed",
        "class": "green",
        "trade_names": "",
        "shelf_life": "hours",
        "cautions": "seed set; roots and stems regrow",
    }
    ALSO["weeds_pulled"] = "pulled weeds;weeds;weedings"
    usable = {line[0] for line in table if line[1] == "nitrogen"} & {line[0] for line in table if line[1] == "moisture"}
    usable &= {line[0] for line in table if line[1] == "loose_density"}
    known = {(line[0], line[1]): line for line in table}
    with (OUT / "residues.csv").open("w", encoding="utf-8", newline="") as handle:
        handle.write(
            "# One number a row: 10th percentile, typical, 90th percentile. Fractions of dry matter (moisture: of\n"
            "# fresh mass), densities in kg of fresh matter per m3. Empty low or high: see residue_rules.toml.\n"
        )
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow(["residue", "property", "low", "typical", "high", "evidence", "source", "detail"])
        writer.writerows(line for line in table if line[0] in usable)
    with (OUT / "residue_kinds.csv").open("w", encoding="utf-8", newline="") as handle:
        handle.write(
            "# How each residue is handled and drawn; judgement. also_called and cautions are parted by ';'.\n"
        )
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow(
            ["residue", "name", "also_called", "group", "texture", "shelf_life_days", "size_factor", "cautions"]
        )
        for key, head in heads.items():
            if key not in usable:
                continue
            group, texture = shape(key, head["class"], float(known[key, "moisture"][3]))
            also = ";".join(
                part for part in (ALSO.get(key, ""), head["trade_names"].replace(", ", ";").replace("/", ";")) if part
            )
            cautions = [word for pattern, word in CAUTION_WORDS if pattern.lower() in head["cautions"].lower()]
            if key in ("cardboard", "paper_mixed", "newsprint"):
                cautions.append("coated_card")
            if group == "soft fresh" and texture == "clippings":
                cautions.append("slime")
            if texture == "scraps":
                cautions.append("kitchen_scraps")
            size = (
                0.5 if key.startswith(CHIPS) else 0.7 if key.startswith(COARSE) else 0.8 if texture == "straw" else 1.0
            )
            writer.writerow(
                [
                    key,
                    head["name"],
                    also,
                    group,
                    texture,
                    shelf(head["shelf_life"], group),
                    f"{size:g}",
                    ";".join(dict.fromkeys(cautions)),
                ]
            )


CROP_COEFFICIENT = [
    ("Brussels", "brussel sprouts"),
    ("Broccoli", "broccoli"),
    ("Cauliflower", "cauliflower"),
    ("cabbage", "cabbage"),
    ("Kale", "cabbage"),
    ("Collard", "cabbage"),
    ("Kohlrabi", "cabbage"),
    ("Pak choi", "cabbage"),
    ("bean", "beans green"),
    ("Broad bean", "faba bean broad fresh"),
    ("pea", "peas fresh"),
    ("ucumber", "cucumber fresh market"),
    ("Pumpkin", "pumpkin winter squash"),
    ("Courgette", "squash zucchini"),
    ("Carrot", "carrots"),
    ("Parsnip", "parsnip"),
    ("Leek", "onions green"),
    ("Radish", "radish"),
    ("Beetroot", "beets table"),
    ("Lettuce", "lettuce"),
    ("Endive", "lettuce"),
    ("Radicchio", "lettuce"),
    ("Rocket", "spinach"),
    ("Spinach", "spinach"),
    ("chard", "spinach"),
    ("Corn salad", "spinach"),
    ("Celer", "celery"),
    ("Onion", "onions dry"),
    ("Spring onion", "onions green"),
    ("Shallot", "onions dry"),
    ("Garlic", "garlic"),
    ("Sweet corn", "maize sweet corn fresh"),
    ("Tomato", "tomato"),
    ("pepper", "sweet peppers bell"),
    ("Aubergine", "eggplant"),
    ("Melon", "cantaloupe"),
    ("melon", "watermelon"),
    ("Sweet potato", "sweet potato"),
    ("Potato", "potato"),
    ("Strawberry", "strawberries"),
    ("Asparagus", "asparagus"),
    ("artichoke", "artichokes"),
    ("urnip", "turnip rutabaga"),
    ("Swede", "turnip rutabaga"),
    ("Mint", "mint"),
]
DIRECT = (
    "bean",
    "pea",
    "Carrot",
    "Parsnip",
    "Radish",
    "Beetroot",
    "Spinach",
    "Rocket",
    "Corn salad",
    "urnip",
    "Dill",
    "Coriander",
    "Swede",
    "Scorzonera",
    "Sweet corn",
    "Baby-leaf",
    "Parsley",
    "Mustard",
)
FINE = (
    "Carrot",
    "Parsnip",
    "Rocket",
    "Corn salad",
    "Dill",
    "Coriander",
    "Scorzonera",
    "Baby-leaf",
    "Parsley",
    "Radish",
    "urnip",
    "Spinach",
    "Mustard",
    "Lettuce, green loose",
)
CROP_ALSO = {
    "Tomato": "tomatoes",
    "Bush (snap) bean": "bush beans;french beans;snap beans;beans;dwarf beans",
    "Pole (runner) bean": "pole beans;runner beans;climbing beans",
    "Courgette (zucchini)": "zucchini;courgettes;summer squash",
    "Pumpkin / winter squash": "squash;winter squash;pumpkins",
    "Kale": "borecole",
    "Garlic": "",
    "Carrot, bunched": "carrots;carrot",
    "Lettuce, butterhead": "lettuce;lettuces",
    "Lettuce, green loose-leaf": "loose-leaf lettuce;leaf lettuce;salad",
    "Potato, maincrop": "potatoes;potato",
    "Potato, early": "early potatoes",
    "Strawberry, fruiting year (spring dose)": "strawberries;strawberry",
    "Onion, bulb": "onions;onion",
    "White cabbage, fresh": "cabbage;cabbages",
    "Beetroot": "beets;beet",
    "Leek": "leeks",
    "Garden pea (shelled)": "peas;pea",
    "Spinach, leaf": "spinach",
    "Sweet corn": "corn;maize",
    "Cucumber, slicing": "cucumber;cucumbers",
    "Sweet pepper": "peppers;pepper",
    "Broad bean": "broad beans;fava beans",
    "Swiss chard": "chard",
    "Rocket, fine": "rocket;arugula",
    "Parsnip": "parsnips",
    "Radish": "radishes",
    "Parsley, leaf, to first cut": "parsley",
    "Spring onion, bunched": "spring onions;scallions",
    "Aubergine (eggplant)": "eggplant;aubergines",
    "Raspberry": "raspberries",
}


def crops(data: Path) -> None:
    kc = {row["crop"]: row for row in rows(data / "et0_crop_coefficients.csv")}
    with (OUT / "crops.csv").open("w", encoding="utf-8", newline="") as handle:
        handle.write(
            "# Yield kg fresh m-2; nitrogen, phosphorus and potassium g m-2. The German need values count soil "
            "mineral\n"
            "# nitrogen in. Ranges: -20 and +25 % of the want, judgement, because sources disagree. "
            "Basal coefficients\n"
            "# and stages: FAO-56 Tables 11 and 17. Timing for all: the S-curve of the process model, judgement.\n"
        )
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow(
            [
                "crop",
                "name",
                "also_called",
                "yield",
                "nitrogen_want",
                "phosphorus_removed",
                "potassium_removed",
                "residue_nitrogen",
                "basal_middle",
                "basal_end",
                "initial",
                "development",
                "middle",
                "late",
                "root_depth",
                "days_low",
                "days_high",
                "direct",
                "fine",
                "evidence",
                "source",
                "coefficient_row",
            ]
        )
        for row in rows(data / "crops_nutrients.csv"):
            name = row["crop"]
            if re.search(
                r"\(UK\)|\(US\)|California|later cut|planting year|after harvest|1st year|2nd year|3rd year", name
            ):
                continue
            amount = number(row["yield_t_ha"]) or 0.0
            want = number(row["N_supply_need_kg_ha"])
            if not want:
                want = number(row["N_uptake_kg_ha"])
            if not want or amount <= 0.0:
                continue
            match = next((kc[found] for pattern, found in CROP_COEFFICIENT if pattern in name), None)
            phosphorus = (number(row["P2O5_removed_kg_per_t"]) or 0.8) * amount * 0.4364
            potassium = number(row["K2O_removed_kg_per_t"])
            depth = number(row["Nmin_or_root_depth_cm"])
            stages = [
                match[c] if match and match[c] else d
                for c, d in (("days_ini", "25"), ("days_dev", "35"), ("days_mid", "40"), ("days_late", "20"))
            ]
            direct = any(word in name for word in DIRECT) and "Spring onion" not in name
            if name.startswith("Lettuce, green loose"):
                direct = True
            writer.writerow(
                [
                    re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_"),
                    name,
                    CROP_ALSO.get(name, ""),
                    f"{amount / 10:.4g}",
                    f"{want / 10:.4g}",
                    f"{phosphorus / 10:.3g}",
                    "" if potassium is None else f"{potassium * amount * 0.8301 / 10:.3g}",
                    "" if not row["residue_N_credit_kg_ha"] else f"{float(row['residue_N_credit_kg_ha']) / 10:.3g}",
                    match["kcb_mid"] if match else "0.95",
                    match["kcb_end"] if match else "0.85",
                    *stages,
                    "" if depth is None else f"{depth / 100:.2g}",
                    row["days_to_maturity_low"],
                    row["days_to_maturity_high"],
                    int(direct),
                    int(direct and any(word in name for word in FINE)),
                    EVIDENCE[row["status"].split()[0]],
                    source_key(row["source"]) if "memory" not in row["status"] else "from_memory",
                    match["crop"] if match else "",
                ]
            )
        for name, want, also in (
            ("Cereal rye, cover crop", 6.0, "winter rye;cover rye;rye cover"),
            ("Clover or vetch, cover crop", 1.0, "clover cover;vetch cover;green manure"),
            ("Phacelia, cover crop", 6.0, "phacelia cover"),
            ("Mustard, cover crop", 7.0, "mustard cover"),
            ("Flowers, mixed annual", 6.0, "flowers;cut flowers"),
        ):
            key = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
            writer.writerow(
                [
                    key,
                    name,
                    also,
                    "2",
                    f"{want:g}",
                    "0",
                    "",
                    f"{want:g}",
                    "1.0",
                    "0.9",
                    20,
                    30,
                    40,
                    30,
                    "0.6",
                    "",
                    "",
                    1,
                    0,
                    "a guess",
                    "from_memory",
                    "",
                ]
            )


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    residues(folder)
    crops(folder)
