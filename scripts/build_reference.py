"""Build the tables in src/mullbed/reference from the open tables beside the project.

Run by hand when the open tables change: ``python scripts/build_reference.py ../shared/data``. The result is
committed; nothing reads the open tables at run time. Each number keeps its own source and evidence class.
"""

from __future__ import annotations

import csv
import re
import statistics
import sys
import tomllib
from pathlib import Path

import residue_handling as handling

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


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as handle:
        return list(csv.DictReader(line for line in handle if not line.startswith("#")))


def source_key(text: str, status: str = "") -> str:
    """Return the key of the publication named first; a published value may have a bound from memory."""
    found = [(text.find(pattern), key) for pattern, key in SOURCES if pattern in text]
    key = min(found)[1] if found else "single_papers"
    return "single_papers" if key == "from_memory" and status == "published" else key


def number(text: str) -> float | None:
    return float(text) if text.strip() else None


def edge(line: list[str], rule: dict[str, float], side: str) -> float:
    """Return the low or high of a row; where the open table has none, by the rule of its property."""
    column, middle = (2 if side == "low" else 4), float(line[3])
    if line[column]:
        return float(line[column])
    if line[1] == "moisture" and middle > 0.5:
        return 1.0 - (1.0 - middle) * rule["high" if side == "low" else "low"]
    return middle * rule[side]


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
                source_key(row["source"], row["status"]),
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
    rules = tomllib.loads((OUT / "residue_rules.toml").read_text(encoding="utf-8"))["range"]
    weeds = [key for key in heads if key.startswith("weed_")]
    for name in ("moisture", "nitrogen", "carbon", "loose_density"):
        lines = [known[key, name] for key in weeds if (key, name) in known]
        found = sorted(float(line[3]) for line in lines)
        middle, cuts = statistics.median(found), statistics.quantiles(found, n=10)
        low = min(cuts[0], statistics.median(edge(line, rules[name], "low") for line in lines))
        high = max(cuts[-1], statistics.median(edge(line, rules[name], "high") for line in lines))
        table.append(
            [
                "weeds_pulled",
                name,
                f"{low:.4g}",
                f"{middle:.4g}",
                f"{high:.4g}",
                "worked out",
                "mullbed_model",
                f"median and deciles of {len(found)} weeds in this table, and the doubt of each",
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
    usable = {line[0] for line in table if line[1] == "nitrogen"} & {line[0] for line in table if line[1] == "moisture"}
    usable &= {line[0] for line in table if line[1] == "loose_density"}
    usable -= set(handling.WITHOUT_ORGANIC_MATTER)
    for name in ("phosphorus", "potassium"):  # drying takes water alone
        green = known.get(("grass_clip", name))
        if green and ("grass_dried", name) not in known:
            table.append(["grass_dried", *green[1:7], "as of fresh clippings, per dry matter"])
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
            [
                *("residue", "name", "also_called", "group", "texture", "cells", "shelf_life_days", "size_factor"),
                *("palatability", "cautions"),
            ]
        )
        called = handling.other_names(heads)
        for key, head in heads.items():
            if key not in usable:
                continue
            group, texture = handling.shape(key, head["class"], float(known[key, "moisture"][3]))
            writer.writerow(
                [
                    key,
                    handling.PLAIN_NAMES.get(key, head["name"]),
                    ";".join(called[key]),
                    group,
                    texture,
                    handling.cells(key, group),
                    handling.shelf(head["shelf_life"], group),
                    f"{handling.size_factor(key, texture):g}",
                    handling.PALATABILITY.get(key, ""),
                    ";".join(handling.cautions(key, head["cautions"], group, texture)),
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
    "loose-leaf",
    "Spring onion",
    "Chicory roots",
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
    "red loose",
    "Spring onion",
    "Chicory roots",
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
            direct = any(word in name for word in DIRECT)
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
