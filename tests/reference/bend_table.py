#!/usr/bin/env python3
"""Bend tables of seeded routes, worked out another way than the program does: writes bend_table.csv beside itself.

Set-backs from the half-angle between the legs seen as a triangle (law of cosines on distances, no cross product), plane
rotations as dihedral angles: the legs on both sides of a straight, projected along it and measured from one another.
Standard library only. Run it again and the file must not change.
"""
import csv
import math
import os
import random


def sub(a, b):
    return [x - y for x, y in zip(a, b)]


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def length(a):
    return math.sqrt(dot(a, a))


def det(a, b, c):
    return (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]))


def turn(p, q, r):
    """Direction change at q: pi less the angle of the triangle p q r (Kahan's stable form)."""
    a, b, c = length(sub(p, q)), length(sub(r, q)), length(sub(r, p))
    a, b = max(a, b), min(a, b)
    mu = c - (a - b) if b >= c else b - (a - c)
    top = ((a - b) + c) * mu
    bottom = (a + (b + c)) * ((a - c) + b)
    return math.pi - 2 * math.atan2(math.sqrt(max(top, 0)), math.sqrt(max(bottom, 0)))


def dihedral(p, q, r, s):
    """Rotation of the plane at r against the plane at q, right-handed about q -> r."""
    axis = sub(r, q)
    axis = [x / length(axis) for x in axis]
    back, ahead = sub(q, p), sub(s, r)
    # Seen along the straight, the path goes on in the same plane when it leaves on the side it came from.
    u = [-(x - dot(back, axis) * y) for x, y in zip(back, axis)]
    v = [x - dot(ahead, axis) * y for x, y in zip(ahead, axis)]
    return math.atan2(det(axis, u, v), dot(u, v))


def table(points, radius):
    n = len(points) - 1
    angle = [0] + [turn(points[i - 1], points[i], points[i + 1]) for i in range(1, n)] + [0]
    back = [radius * math.tan(a / 2) for a in angle]
    straight = [length(sub(points[i + 1], points[i])) - back[i] - back[i + 1] for i in range(n)]
    rotation = [0, 0] + [dihedral(*points[i - 2:i + 2]) for i in range(2, n)]
    return straight, rotation, angle


def routes():
    yield "worked", 114.3, [(0, 0, 0), (300, 0, 0), (300, 320, 80), (620, 420, 80), (620, 420, -180)]
    yield "fitted", 115, [(-190, 415, 370), (65, 415, 440), (65, -250, 410), (-250, -250, 410)]
    yield "first-try", 76.2, [(-190, 415, 370), (-60, 415, 405.7), (-60, 170, 530), (-60, -120, 530), (-60, -250, 410),
                              (-250, -250, 410)]
    rng = random.Random(20240518)
    made = 0
    while made < 40:
        points = [tuple(round(rng.uniform(-800, 800), 3) for _ in range(3)) for _ in range(rng.randint(3, 7))]
        radius = round(rng.uniform(40, 120), 3)
        straight, _, angle = table(points, radius)
        if min(straight) < 1 or max(angle) > math.radians(170):
            continue
        made += 1
        yield f"random-{made}", radius, points


def main():
    here = os.path.dirname(os.path.abspath(__file__))
    with open(os.path.join(here, "bend_table.csv"), "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["route", "radius_mm", "x_mm", "y_mm", "z_mm", "straight_before_mm", "rotation_deg", "angle_deg"])
        for name, radius, points in routes():
            straight, rotation, angle = table(points, radius)
            for i, p in enumerate(points):
                row = ["", "", ""] if i == 0 else [f"{straight[i - 1]:.9f}", "", ""]
                if 0 < i < len(points) - 1:
                    row[1:] = [f"{math.degrees(rotation[i]):.9f}", f"{math.degrees(angle[i]):.9f}"]
                out.writerow([name, radius, *p, *row])


if __name__ == "__main__":
    main()
