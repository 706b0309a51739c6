"""Plans of the hardest kind: mixes of nearly equal price in three bags each, shops with trips."""

import random

SHOPS = {"Near": 0.0, "Middle": 3.5, "Far": 6.0}  # the trip to each [currency]
BAGS_L = ((8, 10), (20, 25), (50, 70))  # sizes for each of a mix's bags
PRICE_SPREAD = 0.05  # how far a price may be from the curve that all follow [share]


def document(media, sowings, seed=0):
    """
    A scenario document with this many mixes and sowings.

    >>> made = document(6, 10)
    >>> len(made["media"]), len(made["sowings"]), len(made["media"][0]["packages"])
    (6, 10, 3)
    """
    rng = random.Random(seed)

    def bag(sizes):
        size, spread = rng.choice(sizes), rng.uniform(1 - PRICE_SPREAD, 1 + PRICE_SPREAD)
        price = round((1 + 0.4 * size**0.85) * spread, 2)
        return {"store": rng.choice(list(SHOPS)), "size": size, "unit": "L", "price": price}

    def sowing(i):
        return {
            "crop": f"Crop {i}",
            "wanted": rng.randint(20, 120),
            "weeks": rng.choice([4, 6, 8]),
            "cell_ml": rng.choice([30, 50, 80]),
            "germination": round(rng.uniform(0.7, 0.95), 2),
        }

    def mix(i):
        weeks, bags = rng.choice([3, 5, 6, 8]), [bag(sizes) for sizes in BAGS_L]
        return {"name": f"Mix {i}", "feeds_for_weeks": weeks, "fill_loss": 0.12, "packages": bags}

    feed = {"name": "Feed", "per_week": 1, "ml_per_cell": 15, "n_percent": 20, "target_ppm_n": 100}
    return {
        "format": "seedling-costs/2",
        "title": f"{media} mixes by {sowings} sowings",
        "currency": "USD",
        "stores": [{"name": name, "trip_cost": trip} for name, trip in SHOPS.items()],
        "sowings": [sowing(i) for i in range(sowings)],
        "media": [mix(i) for i in range(media)],
        "ingredients": [],
        "feed": feed | {"packages": [{"store": "Near", "size": 1, "unit": "kg", "price": 7}]},
    }
