#!/usr/bin/env python3
"""Holds findings.json of the sample job to docs/findings.schema.json. Usage: validate_findings.py REPORT_TEST SCHEMA"""
import copy
import json
import os
import subprocess
import sys
import tempfile

try:
    from jsonschema import Draft202012Validator
except ImportError:
    print("skipped: the package python3-jsonschema (4.0 or newer) is not installed")
    sys.exit(77)

program, schema_file = sys.argv[1:3]
with open(schema_file, encoding="utf-8") as file:
    schema = json.load(file)
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)


def refuse_constant(text):
    raise ValueError(f"{text} is not JSON")


def findings(case):
    with tempfile.TemporaryDirectory() as folder:
        out = os.path.join(folder, "findings.json")
        subprocess.run([program, case], check=True, env=dict(os.environ, BAYWRIGHT_FINDINGS_OUT=out),
                       stdout=subprocess.DEVNULL)
        with open(out, encoding="utf-8") as file:
            return json.load(file, parse_constant=refuse_constant)


sample = findings("write the sample findings")
problems = []
for name, document in (("sample", sample), ("empty job", findings("write the findings of an empty job"))):
    for error in validator.iter_errors(document):
        problems.append(f"{name}: {'/'.join(map(str, error.absolute_path))}: {error.message}")


# The schema must also refuse: each damage below breaks one promise of it.
def damaged(change):
    document = copy.deepcopy(sample)
    change(document)
    return document


measured = next(i for i, f in enumerate(sample["findings"]) if f["measured"])
for name, change in {
    "a finding without its limit key": lambda d: d["findings"][0].pop("limit"),
    "a verdict nobody knows": lambda d: d["findings"][0].update(verdict="fine"),
    "an unknown key": lambda d: d.update(extra=1),
    "a number as text": lambda d: d["findings"][measured]["measured"].update(hi="5.3"),
    "a finding both measured and not": lambda d: d["findings"][measured].update(
        not_assessed={"reason": "", "missing": []}),
    "a point of two coordinates": lambda d: d["findings"][measured]["measured"].update(at_mm=[1, 2]),
}.items():
    if validator.is_valid(damaged(change)):
        problems.append(f"the schema accepts {name}")

print("\n".join(problems) or f"{len(sample['findings'])} findings, valid")
sys.exit(1 if problems else 0)
