"""Makes geos.json: areas and distances of random shapes by an independent geometry library.

Run with Python 3 and the shapely package (1.8.5, on GEOS): python3 geos.py > geos.json
"""
import json
import math
import random

import shapely
from shapely import affinity, geometry
from shapely.ops import unary_union

random.seed(20240229)


def rectangle():
    x, y = random.uniform(-5, 5), random.uniform(-5, 5)
    w, h, turn = random.uniform(0.1, 3), random.uniform(0.1, 3), random.uniform(0, 360)
    box = geometry.box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)
    return {"centre": [x, y], "width": w, "height": h, "turn": turn}, affinity.rotate(box, turn, origin=(x, y))


def star(n):
    """A simple polygon: corners at rising angles about a centre."""
    cx, cy = random.uniform(-5, 5), random.uniform(-5, 5)
    angles = sorted(random.uniform(0, 2 * math.pi) for _ in range(n))
    points = []
    for a in angles:
        r = random.uniform(1, 6)
        points.append([cx + r * math.cos(a), cy + r * math.sin(a)])
    return points


pairs = []
for _ in range(200):
    (a, ga), (b, gb) = rectangle(), rectangle()
    pairs.append({"a": a, "b": b, "distance": ga.distance(gb), "common": ga.intersection(gb).area})

polygons = []
while len(polygons) < 100:
    p, q = star(random.randint(3, 14)), star(random.randint(3, 14))
    gp, gq = geometry.Polygon(p), geometry.Polygon(q)
    if not (gp.is_valid and gq.is_valid and gp.area > 0.1 and gq.area > 0.1):
        continue
    r, gr = rectangle()
    polygons.append({
        "p": p, "q": q, "area": gp.area,
        "common": gp.intersection(gq).area,
        "union": unary_union([gp, gq]).area,
        "rect": r,
        "inside": gp.contains(gr),
        "border": gr.distance(gp.exterior),
    })

print(json.dumps({
    "made": "geos.py with shapely " + shapely.__version__ + ", GEOS " + shapely.geos.geos_version_string,
    "pairs": pairs, "polygons": polygons,
}, indent=None, separators=(",", ":")))
