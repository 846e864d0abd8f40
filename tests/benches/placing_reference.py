"""The reference side of the bench `placing`: may this piece go here, by shapely.

Usage: placing_reference.py answer FILE
  FILE holds {"room": ring, "pieces": [{"ring", "at", "wall", "web"}], "asked": [[piece, x, y]...]}, metres
Prints JSON: the verdicts (true where the piece may lie) and the processor seconds of one question, the least of three rounds. What does
not depend on the question (outlines in place and grown, the room less the wall foam, its preparation) is made before the clock starts.
"""

import json
import sys
import time

import shapely
from shapely import affinity
from shapely.geometry import MultiPoint, Polygon
from shapely.ops import unary_union
from shapely.prepared import prep

ROUNDS = 3


def grown_by_sides(body, web):
    """The sum of a body and a square: of its triangles and the square, joined."""
    corners = [(-web, -web), (web, -web), (web, web), (-web, web)]
    return unary_union(
        [
            MultiPoint([(x + dx, y + dy) for x, y in triangle.exterior.coords for dx, dy in corners]).convex_hull
            for triangle in shapely.constrained_delaunay_triangles(body).geoms
        ]
    )


def main():
    data = json.load(open(sys.argv[2]))
    room = Polygon(data["room"])
    pieces = data["pieces"]
    bodies = [Polygon(p["ring"]) for p in pieces]
    placed = [affinity.translate(b, *p["at"]) for b, p in zip(bodies, pieces)]
    # Neither keep-out meets the other's body; a keep-out is the body grown by its distance to the four sides of the case.
    boxes = [grown_by_sides(b, p["web"]) for b, p in zip(bodies, pieces)]
    grown = [affinity.translate(b, *p["at"]) for b, p in zip(boxes, pieces)]
    prepared = [prep(b) for b in placed]
    prepared_grown = [prep(b) for b in grown]
    rooms = [prep(room.buffer(-p["wall"], join_style="mitre")) for p in pieces]
    for things in (bodies, boxes):
        for thing in things:
            shapely.prepare(thing)

    def may(piece, x, y):
        own = affinity.translate(bodies[piece], x, y)
        if not rooms[piece].contains(own):
            return False
        keep_out = affinity.translate(boxes[piece], x, y)
        for other in range(len(pieces)):
            if other != piece and (prepared_grown[other].intersects(own) or prepared[other].intersects(keep_out)):
                return False
        return True

    best = None
    for _ in range(ROUNDS):
        start = time.process_time()
        verdicts = [may(*asked) for asked in data["asked"]]
        took = (time.process_time() - start) / len(verdicts)
        best = took if best is None else min(best, took)
    json.dump({"verdicts": verdicts, "seconds": best}, sys.stdout)


if __name__ == "__main__":
    main()
