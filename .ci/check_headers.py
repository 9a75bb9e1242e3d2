#!/usr/bin/env python3
"""A header of geometry and src must bring in what it uses, and no more than Eigen.

Headers without a source of their own are compiled alone. Of the others the source includes its header before all else,
so that compiling the source alone (preset dev, tests/long.sh) shows it. With --all every header is compiled alone:
twenty minutes of processor time.
"""
import concurrent.futures
import pathlib
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
STAMP = ROOT / "build" / "headers-checked"


def check(header: pathlib.Path) -> str:
    rel = header.relative_to(ROOT).as_posix()
    with tempfile.NamedTemporaryFile("w", suffix=".cpp") as source:
        source.write(f'#include "{rel.removeprefix("src/")}"\n')
        source.flush()
        run = subprocess.run(
            ["g++", "-std=c++20", "-fsyntax-only", "-Wall", "-Wextra", "-I", str(ROOT), "-I", str(ROOT / "src"),
             "-isystem", "/usr/include/eigen3", source.name],
            capture_output=True, text=True)
    return f"{rel}: does not compile alone\n{run.stderr[:800]}" if run.returncode else ""


def included_late(header: pathlib.Path) -> str:
    own = f'#include "{header.relative_to(ROOT).as_posix().removeprefix("src/")}"'
    lines = header.with_suffix(".cpp").read_text().splitlines()
    first = next((line for line in lines if line.startswith("#include")), "")
    rel = header.with_suffix(".cpp").relative_to(ROOT).as_posix()
    return "" if first == own else f"{rel}: includes {first.removeprefix('#include ')} before its own header"


headers = [h for top in ("geometry", "src") for h in sorted((ROOT / top).rglob("*.hpp")) if "/occt/" not in h.as_posix()]
since = STAMP.stat().st_mtime if STAMP.exists() and "--all" not in sys.argv else 0
if not any(f.stat().st_mtime > since for h in headers for f in (h, h.with_suffix(".cpp")) if f.exists()):
    print("headers: unchanged since the last check")
    sys.exit(0)
alone = [h for h in headers if "--all" in sys.argv or not h.with_suffix(".cpp").exists()]
with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
    bad = [line for line in pool.map(check, alone) if line]
bad += [line for h in headers if h.with_suffix(".cpp").exists() and (line := included_late(h))]
print("\n".join(bad) if bad else f"headers: {len(alone)} of {len(headers)} compiled alone, the others come first")
if not bad:
    STAMP.parent.mkdir(exist_ok=True)
    STAMP.touch()
sys.exit(bool(bad))
