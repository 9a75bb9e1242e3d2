"""Checks FOLDER/schema.json: every file in FOLDER/good must be valid against it, every one in FOLDER/bad must not."""
import json
import pathlib
import sys

import jsonschema

folder = pathlib.Path(sys.argv[1])
schema = json.loads((folder / "schema.json").read_text())
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)
failures = []
for name, wanted in (("good", True), ("bad", False)):
    for file in sorted((folder / name).glob("*.json")):
        errors = list(validator.iter_errors(json.loads(file.read_text())))
        if (not errors) != wanted:
            failures.append(f"{name}/{file.name}: " + (errors[0].message if errors else "is accepted"))
print("\n".join(failures), end="")
sys.exit(bool(failures))
