#!/usr/bin/env python3
"""Fail when a file includes a module or a library that its own module may not see, or breaks a file rule."""
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
MAY = {  # module: modules it may include besides itself and geometry/base
    "geometry/base": "",
    "geometry": "",
    "geometry/files": "geometry",
    "geometry/clearance": "geometry",
    "geometry/occt": "geometry",
    "catalog": "",
    "bay": "geometry geometry/files geometry/clearance",
    "duct": "geometry geometry/clearance catalog bay",
    "access": "catalog geometry geometry/clearance bay duct",
    "fabrication": "geometry geometry/files geometry/clearance bay duct catalog",
    "measure": "geometry geometry/clearance bay duct catalog",
    "flow": "geometry bay duct measure catalog",
    "checks": "geometry geometry/clearance bay duct measure flow catalog access",
    "job": "geometry geometry/files geometry/clearance bay duct measure flow checks catalog access",
    "report": "geometry geometry/files geometry/clearance bay duct measure flow checks job catalog access",
    "session": "geometry geometry/files geometry/clearance bay duct measure flow checks job report catalog access",
    "routing": "geometry geometry/clearance bay duct measure flow checks job session catalog access",
    "viewer": "geometry geometry/files geometry/clearance bay duct measure flow checks job report session catalog access",
    "app": "geometry geometry/files geometry/clearance bay duct measure flow checks job report session routing viewer fabrication catalog access",
}
ONLY = {  # library header: where it may be included
    r".*\.hxx$": r"geometry/(files/|occt/)?[a-z_]+\.cpp|geometry/occt/",
    r"nlohmann/": r"src/(job|report)/.*\.cpp|src/job/json_reader\.hpp|src/report/json_object\.hpp",
    r"CLI/": r"src/app/main\.cpp",
    r"(tbb|oneapi)/": r".*\.cpp",
    r"(vtk[A-Z]|Q[A-Z])": r"viewer/",
}
# geometry/occt is the kernel's side of geometry: its headers see what they serve, and only sources see them.
MAY["geometry/occt"] = "geometry geometry/files"
SOURCES_MAY = {"geometry": {"geometry/occt"}, "geometry/files": {"geometry/occt"}}
FORBIDDEN_NAMES = {"utils", "util", "common", "helpers", "helper", "misc", "types", "manager"}
TOP = {"CMakeLists.txt", "CMakePresets.json", "README.md", "DEVELOPERS.md", "LICENSE", "src", "geometry", "viewer",
       "tests", "models", "docs"}
INC = re.compile(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]', re.M)


def module(path: str) -> str:
    parts = path.removeprefix("src/").split("/")
    if parts[0] == "geometry" and len(parts) > 2:
        return "/".join(parts[:2])
    return parts[0]


bad = []
for f in sorted(p for top in ("geometry", "src", "viewer") for p in (ROOT / top).rglob("*.[hc]pp")):
    rel = f.relative_to(ROOT).as_posix()
    me = module(rel)
    may = set(MAY[me].split()) | {me, "geometry/base"}
    if f.suffix == ".cpp":
        may |= SOURCES_MAY.get(me, set())
    if f.stem in FORBIDDEN_NAMES:
        bad.append(f"{rel}: a file is named after its one subject, not '{f.stem}'")
    text = f.read_text()
    if f.suffix == ".hpp" and "#pragma once" not in text:
        bad.append(f"{rel}: header without #pragma once")
    for inc in INC.findall(text):
        if module(inc) in MAY and module(inc) not in may:
            bad.append(f"{rel}: {me} must not include {inc}")
        for lib, places in ONLY.items():
            if re.match(lib, inc) and not re.match(places, rel):
                bad.append(f"{rel}: {inc} may be included only from {places}")

tracked = subprocess.run(["git", "-C", str(ROOT), "ls-files"], capture_output=True, text=True).stdout.split()
for top in sorted({t.split("/")[0] for t in tracked}):
    if top not in TOP and not top.startswith("."):
        bad.append(f"{top}: the top level holds only {', '.join(sorted(TOP))} and dot-files")

print("\n".join(bad) if bad else "layers: every include points the allowed way")
sys.exit(bool(bad))
