#!/usr/bin/env python3
"""Compile every header of geometry and src alone: a header must bring in what it uses, and no more than Eigen."""
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


headers = [h for top in ("geometry", "src") for h in sorted((ROOT / top).rglob("*.hpp")) if "/occt/" not in h.as_posix()]
since = STAMP.stat().st_mtime if STAMP.exists() else 0
if not any(h.stat().st_mtime > since for h in headers):
    print("headers: unchanged since the last check")
    sys.exit(0)
with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
    bad = [line for line in pool.map(check, headers) if line]
print("\n".join(bad) if bad else f"headers: {len(headers)} compile alone")
if not bad:
    STAMP.parent.mkdir(exist_ok=True)
    STAMP.touch()
sys.exit(bool(bad))
