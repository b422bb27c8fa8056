"""The soil without any layer, written a second time straight from the published forms ([@mullbed_model] 4.2-4.7).

It shares no code with the engine, so an empty bed that agrees with it shows that layers leave no trace when absent
and that the soil steps are joined as written.
"""

from __future__ import annotations

from math import exp

import numpy as np

THICK = (50.0, 200.0, 350.0)
CENTIMETRES = (2.5, 10.0, 30.0)


def clip(value: float, low: float, high: float) -> float:
    return min(high, max(low, value))


def warmth_response(temperature: float) -> float:
    if temperature <= 0.0:
        return 0.0
    at = min(temperature, 32.0)
    value = 12.0 / (1.0 + 11.0 * exp(0.0816 * 15.0) * exp(-0.0816 * at))
    return value * clip((55.0 - temperature) / 10.0, 0.0, 1.0) if temperature > 45.0 else value


def soil_alone(sky, soil, crop, poured: dict[int, float], fed: dict[int, tuple[float, float]]) -> dict[str, np.ndarray]:
    """Run a bare bed with a crop; returns series by day."""
    full, dry = soil.field_capacity, soil.wilting_point
    water = [soil.start_water * full * depth for depth in THICK]
    ammonium, nitrate = [soil.start_ammonium / 3.0] * 3, [soil.start_nitrate / 3.0] * 3
    warmth = [soil.start_warmth] * 3
    pools = dict(zip(("dpm", "rpm", "bio", "hum"), soil.pools[:4], strict=True))
    nitrogen = dict(zip(("dpm", "rpm"), soil.pool_nitrogen, strict=True))
    x = 1.67 * (1.85 + 1.60 * exp(-0.0786 * 100.0 * soil.clay))
    snow = drained_all = leached = gas = taken_all = carbon_dioxide = evaporated_all = drunk_all = 0.0
    waiting = [0.0] * 10
    days = sky.low.shape[1]
    told: dict[str, list[float]] = {
        name: []
        for name in ("warmth", "water", "drained", "leached", "gas", "crop", "co2", "evaporated", "drunk", "side")
    }

    def relative(h: int) -> float:
        lowest = dry * THICK[h] * (0.5 if h == 0 else 1.0)
        return clip((water[h] - lowest) / (full * THICK[h] - lowest), 0.0, 1.0)

    for day in range(days):
        if day in fed:
            ammonium[0] += fed[day][0]
            nitrate[0] += fed[day][1]
        air = 0.5 * (sky.low[0, day] + sky.high[0, day])
        rain, reference = sky.rain[0, day], sky.reference_evaporation[0, day]
        kcb, ground = crop.basal_coefficient[day], crop.ground_cover[day]
        if air < -1.0:
            snow, rain = snow + rain, 0.0
        melt = min(snow, 3.0 * air) if air > 0.0 else 0.0
        snow -= melt
        held = min(rain, ground)
        left = max(0.0, reference - held) if snow <= 5.0 else 0.0
        coming = rain - held + melt + poured.get(day, 0.0)
        water[0] += min(coming, 50.0)
        demand = (max(1.2, kcb + 0.05) - kcb) * left
        available = max(0.0, water[0] - 0.5 * dry * 50.0)
        evaporated = min(available, demand * min(1.0, available / (0.6 * 50.0 * (full - 0.5 * dry))))
        water[0] -= evaporated
        evaporated_all += evaporated
        above = [max(0.0, water[h] - dry * THICK[h]) for h in range(3)]
        reach = sum(above)
        drunk = min(reach, kcb * left * min(1.0, 2.0 * reach / (600.0 * (full - dry))))
        for h in range(3):
            water[h] -= drunk * above[h] / reach if reach > 0.0 else 0.0
        drunk_all += drunk
        for h in range(3):
            excess = water[h] - full * THICK[h]
            if excess <= 0.0:
                continue
            lost = nitrate[h] * (1.0 - exp(-0.05 * warmth_response(warmth[h]) * min(1.0, excess / 20.0)))
            nitrate[h] -= lost
            gas += lost
            moved = nitrate[h] * (1.0 - exp(-excess / (full * THICK[h])))
            nitrate[h] -= moved
            water[h] -= excess
            if h < 2:
                water[h + 1] += excess
                nitrate[h + 1] += moved
            else:
                drained_all += excess
                leached += moved
        surface = air + 0.15 * (sky.radiation[0, day] - 10.0) * (1.0 - 0.75 * ground)
        surface *= 0.1 if surface < 0.0 else 1.0
        surface = min(surface, 0.0) if snow > 5.0 else surface
        for h in range(3):
            warmth[h] += 0.365 * exp(-0.063 * CENTIMETRES[h]) * exp(-0.15 * 3.0 * ground) * (surface - warmth[h])
        for h in range(3):
            made = ammonium[h] * (1.0 - exp(-0.15 * warmth_response(warmth[h]) * relative(h)))
            ammonium[h] -= made
            nitrate[h] += made * (1.0 - 0.006)
            gas += 0.006 * made
        felt = 0.3 * warmth[0] + 0.7 * warmth[1]
        rate = 47.91 / (1.0 + exp(106.06 / (felt + 18.27))) if felt > -5.0 else 0.0
        rate *= (0.2 + 0.8 * min(1.0, relative(1) / 0.556)) * (0.6 if kcb > 0.2 else 1.0) / 365.0
        lost_of = {
            name: pools[name] * (1.0 - exp(-k * rate))
            for name, k in (("dpm", 10.0), ("rpm", 0.3), ("bio", 0.66), ("hum", 0.02))
        }
        freed = (lost_of["bio"] + lost_of["hum"]) / 9.5
        for name in ("dpm", "rpm"):
            part = nitrogen[name] * lost_of[name] / pools[name]
            nitrogen[name] -= part
            freed += part
        lost = sum(lost_of.values())
        kept = lost / (1.0 + x)
        net = freed - kept / 9.5
        if net >= 0.0:
            ammonium[0] += 0.2 * net
            ammonium[1] += 0.8 * net
        else:
            mineral = ammonium[0] + ammonium[1] + nitrate[0] + nitrate[1]
            drawn = min(-net, 0.5 * mineral)
            kept = 9.5 * (freed + drawn)
            for h in range(2):
                ammonium[h] *= 1.0 - drawn / mineral
                nitrate[h] *= 1.0 - drawn / mineral
        for name, share in (("dpm", 0.0), ("rpm", 0.0), ("bio", 0.46), ("hum", 0.54)):
            pools[name] += share * kept - lost_of[name]
        carbon_dioxide += lost - kept
        waiting = [crop.nitrogen_demand[day], *waiting[:9]]
        offered = sum(0.9 * nitrate[h] + 0.5 * ammonium[h] for h in range(3))
        taken = min(sum(waiting), 0.3 * offered)
        if taken > 0.0:
            for h in range(3):
                nitrate[h] *= 1.0 - 0.9 * taken / offered
                ammonium[h] *= 1.0 - 0.5 * taken / offered
        taken_all += taken
        left_over = taken
        for k in range(9, -1, -1):
            met = min(left_over, waiting[k])
            waiting[k] -= met
            left_over -= met
        told["warmth"].append(warmth[0])
        told["water"].append(sum(water) - 600.0 * dry)
        told["drained"].append(drained_all)
        told["leached"].append(leached)
        told["gas"].append(gas)
        told["crop"].append(taken_all)
        told["co2"].append(carbon_dioxide)
        told["evaporated"].append(evaporated_all)
        told["drunk"].append(drunk_all)
        told["side"].append(sum(ammonium) + sum(nitrate) + taken_all + leached + gas)
    return {name: np.array(values) for name, values in told.items()}
