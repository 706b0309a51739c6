"""The demo: an invented club's spring as a starting point. Shops, goods and prices are made up."""

DEMO = {
    "format": "seedling-costs/2",
    "title": "Seedling table at the Long Acre garden club (invented)",
    "currency": "USD",
    "tax": 0.0,
    "assurance": 0.9,
    "stores": [
        {"name": "Corner shop", "trip_cost": 0},
        {"name": "Farm counter", "trip_cost": 2.0},
    ],
    "budget": 60,
    "media": [
        {
            "name": "Seed starter mix",
            "feeds_for_weeks": 3,
            "fill_loss": 0.12,
            "packages": [
                {"store": "Corner shop", "size": 8, "unit": "qt_dry", "price": 5.9},
                {
                    "store": "Corner shop",
                    "size": 16,
                    "unit": "qt_dry",
                    "price": 9.8,
                    "deal": {"take": 3, "pay": 26.0},
                },
            ],
        },
        {
            "name": "Bulk potting mix",
            "feeds_for_weeks": 6,
            "fill_loss": 0.15,
            "packages": [{"store": "Farm counter", "size": 2, "unit": "cu_ft", "price": 14.5}],
            "emergence": {"lettuce": 0.58},
        },
        {
            "name": "Home blend",
            "feeds_for_weeks": 5,
            "fill_loss": 0.1,
            "shrink": 0.08,
            "parts": [
                {"ingredient": "Coir block", "parts": 3},
                {"ingredient": "Perlite", "parts": 1},
                {"ingredient": "Worm castings", "parts": 1},
            ],
            "additions": [{"ingredient": "Dry organic fertiliser", "g_per_l": 3}],
            "emergence": {"lettuce": 0.76},
        },
    ],
    "ingredients": [
        {
            "name": "Coir block",
            "packages": [
                {
                    "store": "Farm counter",
                    "size": 5,
                    "unit": "kg",
                    "yields_l": 62,
                    "price": 15.0,
                }
            ],
        },
        {
            "name": "Perlite",
            "packages": [{"store": "Corner shop", "size": 8, "unit": "qt_dry", "price": 5.4}],
        },
        {
            "name": "Worm castings",
            "packages": [{"store": "Farm counter", "size": 10, "unit": "L", "price": 9.5}],
        },
        {
            "name": "Dry organic fertiliser",
            "packages": [{"store": "Corner shop", "size": 3, "unit": "lb", "price": 8.6}],
        },
    ],
    "feed": {
        "name": "Soluble feed 20-20-20",
        "n_percent": 20,
        "target_ppm_n": 100,
        "per_week": 2,
        "ml_per_cell": 12,
        "packages": [{"store": "Corner shop", "size": 8, "unit": "oz", "price": 6.4}],
    },
    "energy": {
        "light_watts": 40,
        "hours_per_day": 15,
        "mat_watts": 20,
        "mat_days": 7,
        "tariff": 0.16,
        "cells": 144,
    },
    "trays": [
        {
            "name": "72 cells",
            "price": 3.2,
            "cells": 72,
            "uses": 4,
            "have": 3,
            "store": "Corner shop",
        },
        {
            "name": "128 cells",
            "price": 3.2,
            "cells": 128,
            "uses": 4,
            "have": 1,
            "store": "Corner shop",
        },
    ],
    "sowings": [
        {
            "crop": "tomato",
            "wanted": 60,
            "cell_ml": 59,
            "weeks": 6,
            "germination": 0.88,
            "seeds_per_cell": 1,
            "survival": 0.95,
            "seed_packets": [{"store": "Corner shop", "seeds": 40, "price": 3.2}],
            "tray": "72 cells",
        },
        {
            "crop": "lettuce",
            "wanted": 120,
            "cell_ml": 25,
            "weeks": 4,
            "germination": 0.85,
            "survival": 0.95,
            "seed_packets": [{"store": "Corner shop", "seeds": 500, "price": 2.6}],
            "tray": "128 cells",
        },
        {
            "crop": "marigold",
            "wanted": 48,
            "cell_ml": 59,
            "weeks": 7,
            "germination": 0.8,
            "survival": 0.95,
            "seed_packets": [{"store": "Corner shop", "seeds": 80, "price": 2.9}],
            "tray": "72 cells",
        },
    ],
}
"""A scenario document: bulk mix, starter mix with feed and a home blend, for three crops."""
