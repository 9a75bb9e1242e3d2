#!/usr/bin/env python3
"""Runs the benchmarks and prints the table of speeds: what was measured, beside a library on the same work in the same run.

Usage: tests/bench/table.py BENCH_DIR [--triangles 10000] [--repetitions 3] [--write]
BENCH_DIR is the folder of the benchmark programs (build/bench/tests/bench). --write puts the table between the marks of
docs/validation.md. Times are medians. A row whose library or program is not there says so.
"""
import argparse
import json
import math
import os
import pathlib
import platform
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
BEGIN, END = "<!-- begin: speeds, made by tests/bench/table.py -->\n", "<!-- end: speeds -->\n"


def run(program, environment, *options):
    if not program.exists():
        return {}
    done = subprocess.run([program, "--benchmark_format=json", *options], env={**os.environ, **environment},
                          stdout=subprocess.PIPE, check=True, text=True)
    rows = {}
    for row in json.loads(done.stdout)["benchmarks"]:
        if row.get("aggregate_name", "median") != "median" or row.get("error_occurred"):
            continue
        name = row["name"].removesuffix("_median").replace("/real_time", "").replace("/iterations:1", "")
        rows[name] = row
    return rows


def time_ms(rows, name):
    row = rows.get(name)
    if row is None:
        return None
    value = row["real_time"] if "real_time" in row["name"] else row["cpu_time"]
    # Where a library was given every so-manyth of the same points only, `scale` says how many times more there are.
    return value * row.get("scale", 1) * {"ns": 1e-6, "us": 1e-3, "ms": 1, "s": 1e3}[row["time_unit"]]


def exponent(rows, name, sizes):
    """Least-squares slope of log(time) over log(size)."""
    points = [(math.log(float(n)), time_ms(rows, name.format(n))) for n in sizes]
    points = [(x, math.log(y)) for x, y in points if y]
    if len(points) < 2:
        return None
    mean_x, mean_y = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)


def figure(value, unit=" ms"):
    if value is None:
        return "not measured"
    return (f"{value:.3g}" if value < 100 else f"{value:,.0f}") + unit


def versus(ours, theirs):
    if ours is None or theirs is None:
        return "not measured"
    return f"{theirs / ours:.3g} times"


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("bench_dir", type=pathlib.Path)
    options.add_argument("--triangles", default="10000", help="thousands of triangles")
    options.add_argument("--repetitions", default="3")
    options.add_argument("--write", action="store_true")
    chosen = options.parse_args()
    n = chosen.triangles
    repeated = ["--benchmark_repetitions=" + chosen.repetitions, "--benchmark_report_aggregates_only=true"]
    speed = run(chosen.bench_dir / "speed_bench", {"BAYWRIGHT_SIZES": n}, *repeated)
    motion = run(chosen.bench_dir / "motion_bench", {}, "--benchmark_filter=six_joints/10|hinge.*/10|plain")
    drag = run(chosen.bench_dir / "drag_bench", {}, "--benchmark_filter=/10/")
    ours_only = "--benchmark_filter=^(duct_minimum/|piece_minima/|surface_distances/.*/1/)"
    other_mix = run(chosen.bench_dir / "speed_bench", {"BAYWRIGHT_SIZES": n, "BAYWRIGHT_SCENE": "scan"},
                    "--benchmark_filter=surface_distances", *repeated)
    base = run(chosen.bench_dir / "speed_bench", {"BAYWRIGHT_SIZES": n, "BAYWRIGHT_KERNELS": "sse2"}, ours_only, *repeated)
    growth = run(chosen.bench_dir / "speed_bench", {"BAYWRIGHT_SIZES": ",".join(GROWTH)}, ours_only, *repeated)

    size = f"{int(n) / 1000:g} M"
    lines = ["| work | ours | beside | ratio |", "|---|---|---|---|"]

    def row(work, ours, library, theirs):
        lines.append(f"| {work} | {figure(ours)} | {library}: {figure(theirs)} | {versus(ours, theirs)} |")

    def of(name):
        return time_ms(speed, name)

    row(f"least distance duct to {size} triangles, one thread", of(f"duct_minimum/{n}"), "FCL OBBRSS mesh to mesh",
        of(f"fcl_duct_minimum/{n}"))
    row(f"least distance of every piece, {size}, one thread", of(f"piece_minima/{n}"),
        "Embree point query, same exact kernels", of(f"embree_piece_minima/{n}"))
    row(f"distance at 45,000 surface points, {size}, one thread", of(f"surface_distances/{n}/1"), "CGAL AABB tree",
        of(f"cgal_surface_distances/{n}"))
    row("the same", of(f"surface_distances/{n}/1"), "Embree point query", of(f"embree_surface_distances/{n}"))
    for library, name in (("CGAL AABB tree", "cgal_surface_distances"), ("Embree point query", "embree_surface_distances")):
        row("the same without rods and lines: the scan alone", time_ms(other_mix, f"surface_distances/{n}/1"), library,
            time_ms(other_mix, f"{name}/{n}"))
    row("the same, two threads", of(f"surface_distances/{n}/2"), "ours on one thread", of(f"surface_distances/{n}/1"))
    row(f"build, {size}, one thread", of(f"build/{n}/1"), "Embree MEDIUM", of(f"embree_build/{n}/1"))
    row(f"build, {size}, two threads", of(f"build/{n}/2"), "ours on one thread", of(f"build/{n}/1"))
    row(f"build, {size}, one thread", of(f"build/{n}/1"), "FCL", of(f"fcl_build/{n}"))
    row(f"build, {size}, one thread", of(f"build/{n}/1"), "CGAL with its search tree", of(f"cgal_build/{n}"))
    bytes_each = speed.get(f"build/{n}/1", {}).get("bytes_per_triangle")
    lines.append(f"| memory of the tree, {size} | {figure(bytes_each, ' bytes a triangle')} | CGAL: "
                 f"{figure(speed.get(f'cgal_build/{n}', {}).get('bytes_per_triangle'), ' bytes')} | |")
    for name, what in (("six_joints/10", "six free joints, 100 seeded sets, flexible joint included"),
                       ("hinge_times_six_joints/10", "a hinge of 90 degrees times six joints, 20 sets")):
        counters = motion.get(name, {})
        lines.append(f"| certified minimum over motion, 10 M, {what} | median {figure(counters.get('median_ms'))}, "
                     f"p95 {figure(counters.get('p95_ms'))}, longest {figure(counters.get('max_ms'))} | | |")
    plain = motion.get("six_joints_against_plain/1", {})
    lines.append("| the same, rigid pieces, 1 M | | plain subdivision, stopped after 30 s: "
                 f"{figure(plain.get('plain_unfinished'), '')} of 5 unfinished | at least "
                 f"{figure(plain.get('ratio_at_least'), ' times')} |")
    for name, counters in drag.items():
        what = name.removesuffix("/10/iterations:3").replace("_", " ")
        lines.append(f"| drag: {what}, 10 M, processor time | median {figure(counters.get('move_cpu_p50_ms'))}, "
                     f"p99 {figure(counters.get('move_cpu_p99_ms'))}, letting go {figure(counters.get('release_cpu_p50_ms'))} "
                     f"| wall: p99 {figure(counters.get('move_p99_ms'))} | |")
    for what, name in (("duct", "duct_minimum/{}"), ("pieces", "piece_minima/{}"), ("surface points", "surface_distances/{}/1")):
        row(f"SSE2 instead of AVX2: {what}, {size}", of(name.format(n)), "SSE2", time_ms(base, name.format(n)))
        times = ", ".join(figure(time_ms(growth, name.format(size_k))) for size_k in GROWTH)
        lines.append(f"| growth: {what}, {', '.join(f'{int(k) / 1000:g}' for k in GROWTH)} M | {times} | | "
                     f"exponent {figure(exponent(growth, name, GROWTH), '')} |")
    model = next((line.split(":")[1].strip() for line in open("/proc/cpuinfo") if line.startswith("model name")),
                 platform.processor())
    text = f"{os.cpu_count()} cores, {model}; load when it was begun {LOAD[0]:.1f}. "
    text += ("One run" if chosen.repetitions == "1" else f"Medians of {chosen.repetitions}") + ".\n\n"
    text += "\n".join(lines) + "\n"
    if not chosen.write:
        print(text)
        return
    page = ROOT / "docs" / "validation.md"
    whole = page.read_text()
    begin, end = whole.index(BEGIN) + len(BEGIN), whole.index(END)
    page.write_text(whole[:begin] + text + whole[end:])


LOAD = os.getloadavg()
GROWTH = ("100", "1000", "5000", "10000", "20000")
if __name__ == "__main__":
    sys.exit(main())
