#include "report/report.hpp"

namespace baywright::report {

std::string findings_schema() {
  return R"json({
 "$schema": "https://json-schema.org/draft/2020-12/schema",
 "$id": "https://baywright.invalid/schema/findings-1.json",
 "title": "Findings of one job",
 "description": "What was measured for every requirement, how surely, where, at which pose, and whether the requirement is met. Every number is in the unit its key or the neighbouring `unit` names. A number that has no finite value is null, and `missing_numbers` of the same object gives the reason.",
 "type": "object",
 "required": ["format", "format_version", "program", "job", "conventions", "summary", "findings", "ducts", "ways_out", "sheet", "motions", "attitudes", "parts", "inputs", "warnings", "not_modelled", "cautions"],
 "additionalProperties": false,
 "properties": {
  "format": {"const": "baywright findings"},
  "format_version": {"const": 1},
  "program": {
   "type": "object",
   "required": ["name", "version"],
   "additionalProperties": false,
   "properties": {"name": {"const": "baywright"}, "version": {"type": "string"}}
  },
  "job": {
   "type": "object",
   "required": ["name", "note", "display_units"],
   "additionalProperties": false,
   "properties": {
    "name": {"type": "string"},
    "note": {"type": "string"},
    "display_units": {
     "description": "What the job shows on screen and on paper; this file is not affected by it.",
     "type": "object",
     "required": ["length", "pressure", "temperature"],
     "additionalProperties": false,
     "properties": {
      "length": {"enum": ["mm", "inch"]},
      "pressure": {"enum": ["kPa", "inH2O"]},
      "temperature": {"enum": ["celsius", "fahrenheit"]}
     }
    }
   }
  },
  "conventions": {
   "description": "Meaning of coordinates, stations and verdicts, in words.",
   "type": "object",
   "additionalProperties": {"type": "string"}
  },
  "summary": {
   "type": "object",
   "required": ["verdict", "met", "not_met", "undecided", "not_checked", "not_applicable"],
   "additionalProperties": false,
   "properties": {
    "verdict": {"description": "The worst verdict of all findings.", "enum": ["met", "not met", "undecided", "not checked"]},
    "met": {"$ref": "#/$defs/count"},
    "not_met": {"$ref": "#/$defs/count"},
    "undecided": {"$ref": "#/$defs/count"},
    "not_checked": {"$ref": "#/$defs/count"},
    "not_applicable": {"$ref": "#/$defs/count"},
    "told": {"description": "Undecided or not checked, of weight info: not counted above.", "$ref": "#/$defs/count"}
   }
  },
  "findings": {"description": "Worst first.", "type": "array", "items": {"$ref": "#/$defs/finding"}},
  "ducts": {"type": "array", "items": {"$ref": "#/$defs/duct"}},
  "ways_out": {
   "description": "How tubes and hoses come out of the finished assembly, in the vehicle's frame; null: not searched.",
   "oneOf": [
    {"type": "null"},
    {
     "type": "object",
     "required": ["notes", "pieces"],
     "additionalProperties": false,
     "properties": {
      "notes": {"type": "array", "items": {"type": "string"}},
      "pieces": {
       "type": "array",
       "items": {
        "type": "object",
        "required": ["duct", "piece", "order", "with", "opening", "freed", "moves", "open", "missing"],
        "additionalProperties": false,
        "properties": {
         "duct": {"type": "string"},
         "piece": {"type": "string"},
         "order": {"description": "1: the first that comes out; what comes out together shares it; null: no way is known.", "type": ["integer", "null"]},
         "with": {"description": "The tube it comes out on; empty: on its own.", "type": "string"},
         "opening": {"type": "string"},
         "freed": {"type": "string"},
         "moves": {
          "type": "array",
          "items": {
           "type": "object",
           "required": ["kind", "pieces", "along"],
           "additionalProperties": false,
           "properties": {
            "kind": {"description": "A hose is slid, or turned, on what it sits on.", "enum": ["hose slid", "drawn off", "carried"]},
            "pieces": {"type": "array", "items": {"type": "string"}},
            "along": {"description": "Unit: the way it slides, or the axis it turns about.", "$ref": "#/$defs/point"},
            "slid_mm": {"$ref": "#/$defs/number"},
            "turned_deg": {"$ref": "#/$defs/number"},
            "about_mm": {"$ref": "#/$defs/point"},
            "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
           }
          }
         },
         "open": {"description": "Why no way is known; empty: one is.", "type": "string"},
         "missing": {"type": "array", "items": {"type": "string"}},
         "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
        }
       }
      },
      "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
     }
    }
   ]
  },
  "sheet": {
   "type": "object",
   "required": ["name", "note", "restriction_means"],
   "additionalProperties": false,
   "properties": {
    "name": {"type": "string"},
    "note": {"type": "string"},
    "restriction_means": {
     "description": "Which pressure at which place the restriction limits speak of; null when the sheet does not say.",
     "oneOf": [
      {"type": "null"},
      {
       "type": "object",
       "required": ["pressure", "station"],
       "additionalProperties": false,
       "properties": {"pressure": {"enum": ["total", "static"]}, "station": {"type": "string"}}
      }
     ]
    }
   }
  },
  "motions": {
   "type": "array",
   "items": {
    "type": "object",
    "required": ["body", "name", "assumed", "service", "fit_residual_mm", "load_cases"],
    "additionalProperties": false,
    "properties": {
     "body": {"type": "string"},
     "name": {"type": "string"},
     "assumed": {"description": "Nobody measured this motion.", "type": "boolean"},
     "service": {"description": "For service only: no part of any clearance.", "type": "boolean"},
     "fit_residual_mm": {"$ref": "#/$defs/number"},
     "load_cases": {"$ref": "#/$defs/lines"},
     "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
    }
   }
  },
  "attitudes": {
   "type": "array",
   "items": {
    "type": "object",
    "required": ["name", "pitch_deg", "roll_deg"],
    "additionalProperties": false,
    "properties": {
     "name": {"type": "string"},
     "pitch_deg": {"$ref": "#/$defs/number"},
     "roll_deg": {"$ref": "#/$defs/number"},
     "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
    }
   }
  },
  "parts": {
   "type": "array",
   "items": {
    "type": "object",
    "required": ["id", "name", "class", "body", "uncertainty_mm", "uncertainty_source", "chord_error_mm", "file", "sha256", "hidden_left_out"],
    "additionalProperties": false,
    "properties": {
     "id": {"type": "string"},
     "name": {"type": "string"},
     "class": {"type": "string"},
     "body": {"type": "string"},
     "uncertainty_mm": {"description": "Standard uncertainty of the surface.", "$ref": "#/$defs/number"},
     "uncertainty_source": {"type": "string"},
     "chord_error_mm": {"description": "Greatest distance of the true surface outside its triangles.", "$ref": "#/$defs/number"},
     "file": {"type": "string"},
     "sha256": {"type": "string"},
     "hidden_left_out": {"description": "Solids of the STEP file that nothing outside sees and that were left out, as drop_hidden asks; nothing is measured to them.", "type": "array", "items": {"type": "string"}},
     "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
    }
   }
  },
  "inputs": {
   "type": "array",
   "items": {
    "type": "object",
    "required": ["path", "sha256", "bytes"],
    "additionalProperties": false,
    "properties": {"path": {"type": "string"}, "sha256": {"type": "string"}, "bytes": {"$ref": "#/$defs/count"}}
   }
  },
  "warnings": {"$ref": "#/$defs/lines"},
  "not_modelled": {"$ref": "#/$defs/lines"},
  "cautions": {"$ref": "#/$defs/lines"}
 },
 "$defs": {
  "count": {"type": "integer", "minimum": 0},
  "number": {"type": ["number", "null"]},
  "lines": {"type": "array", "items": {"type": "string"}},
  "point": {"type": "array", "items": {"$ref": "#/$defs/number"}, "minItems": 3, "maxItems": 3},
  "optional_point": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/point"}]},
  "unit": {"enum": ["none", "count", "mm", "deg", "ratio", "Pa", "K", "K_difference", "kg_per_s", "m_per_s", "ml", "percent", "kg"]},
  "missing_numbers": {
   "type": "array",
   "minItems": 1,
   "items": {
    "type": "object",
    "required": ["key", "reason"],
    "additionalProperties": false,
    "properties": {"key": {"type": "string"}, "reason": {"type": "string"}}
   }
  },
  "contribution": {
   "description": "One cause of uncertainty. standard: one sigma, enters with coverage factor 2; expanded: about 95 %, enters as it is; bound: a proven one-sided error, added in full. Contributions of one group share a cause and add linearly.",
   "type": "object",
   "required": ["source", "kind", "low", "high", "group", "missing"],
   "additionalProperties": false,
   "properties": {
    "source": {"type": "string"},
    "kind": {"enum": ["standard", "expanded", "bound"]},
    "low": {"description": "How far the true value may lie below the stated one.", "$ref": "#/$defs/number"},
    "high": {"description": "How far it may lie above.", "$ref": "#/$defs/number"},
    "group": {"type": "string"},
    "missing": {"description": "The input whose absence made this a stand-in, as the job names it; empty when stated.", "type": "string"},
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "pose": {
   "oneOf": [
    {"type": "null"},
    {
     "type": "object",
     "required": ["text", "bodies", "axial_share", "spin_share", "mix"],
     "additionalProperties": false,
     "properties": {
      "text": {"type": "string"},
      "bodies": {
       "type": "array",
       "items": {
        "type": "object",
        "required": ["body", "load_case", "parameters"],
        "additionalProperties": false,
        "properties": {
         "body": {"type": "string"},
         "load_case": {"description": "null: at rest.", "type": ["string", "null"]},
         "parameters": {
          "description": "One per joint of the load case, in the order in which they are applied.",
          "type": "array",
          "items": {
           "type": "object",
           "required": ["joint", "axis"],
           "oneOf": [{"required": ["value_deg"]}, {"required": ["value_mm"]}],
           "additionalProperties": false,
           "properties": {
            "joint": {"enum": ["rotation", "translation"]},
            "axis": {"$ref": "#/$defs/point"},
            "value_deg": {"$ref": "#/$defs/number"},
            "value_mm": {"$ref": "#/$defs/number"},
            "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
           }
          }
         }
        }
       }
      },
      "axial_share": {"description": "Floating piece: where it lies within the play of its two joints, 0 follows the upstream end, 1 the downstream end.", "$ref": "#/$defs/number"},
      "spin_share": {"description": "The same for turning about its own axis.", "$ref": "#/$defs/number"},
      "mix": {"description": "Soft piece whose shape is not known (a hose over a bend or with a step, a tube held by two bodies): mixture of the motions of its two ends at the place measured, 0 the upstream one. Other hoses bend as their ends move, and this says nothing.", "$ref": "#/$defs/number"},
      "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
     }
    }
   ]
  },
  "measured": {
   "type": "object",
   "required": ["unit", "lo", "hi", "uncertainty_low", "uncertainty_high", "lowest", "highest", "contributions", "station_mm", "at_mm", "witness", "pose", "assumed_motion", "note", "asides"],
   "additionalProperties": false,
   "properties": {
    "unit": {"$ref": "#/$defs/unit"},
    "lo": {"description": "Lower end of the certified bracket; equal to hi for exact geometry.", "$ref": "#/$defs/number"},
    "hi": {"description": "Upper end; for a clearance it is attained at the pose given.", "$ref": "#/$defs/number"},
    "uncertainty_low": {"description": "Expanded uncertainty of the inputs, downwards.", "$ref": "#/$defs/number"},
    "uncertainty_high": {"description": "The same, upwards.", "$ref": "#/$defs/number"},
    "lowest": {"description": "lo - uncertainty_low: compared with a lower limit.", "$ref": "#/$defs/number"},
    "highest": {"description": "hi + uncertainty_high: compared with an upper limit.", "$ref": "#/$defs/number"},
    "contributions": {"type": "array", "items": {"$ref": "#/$defs/contribution"}},
    "station_mm": {"$ref": "#/$defs/number"},
    "at_mm": {"$ref": "#/$defs/optional_point"},
    "witness": {
     "description": "The two points whose distance is the value.",
     "oneOf": [
      {"type": "null"},
      {
       "type": "object",
       "required": ["on_duct_mm", "on_other_mm"],
       "additionalProperties": false,
       "properties": {
        "on_duct_mm": {"$ref": "#/$defs/point"},
        "on_other_mm": {"$ref": "#/$defs/point"},
        "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
       }
      }
     ]
    },
    "pose": {"$ref": "#/$defs/pose"},
    "assumed_motion": {"description": "The value rests on a motion nobody measured.", "type": "boolean"},
    "note": {"type": "string"},
    "asides": {
     "description": "The same taken another way that is in use on the vehicle. Not judged.",
     "type": "array",
     "items": {
      "type": "object",
      "required": ["what", "value", "unit"],
      "additionalProperties": false,
      "properties": {
       "what": {"type": "string"},
       "value": {"$ref": "#/$defs/number"},
       "unit": {"$ref": "#/$defs/unit"},
       "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
      }
     }
    },
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "not_assessed": {
   "type": "object",
   "required": ["reason", "missing"],
   "additionalProperties": false,
   "properties": {
    "reason": {"type": "string"},
    "missing": {"description": "Inputs the job would have to give.", "$ref": "#/$defs/lines"}
   }
  },
  "limit": {
   "type": "object",
   "required": ["comparison", "value", "unit", "origin"],
   "additionalProperties": false,
   "properties": {
    "comparison": {"enum": ["at least", "at most", "below"]},
    "value": {"$ref": "#/$defs/number"},
    "unit": {"$ref": "#/$defs/unit"},
    "origin": {
     "type": "object",
     "required": ["kind", "text"],
     "additionalProperties": false,
     "properties": {"kind": {"type": "string"}, "text": {"type": "string"}}
    },
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "finding": {
   "description": "One requirement applied to one place. Exactly one of `measured` and `not_assessed` is not null.",
   "type": "object",
   "required": ["number", "check", "title", "verdict", "severity", "duct", "subject", "part", "measured", "not_assessed", "limit", "margin", "hint"],
   "additionalProperties": false,
   "properties": {
    "number": {"description": "Place in this list, as printed in the report.", "type": "integer", "minimum": 1},
    "check": {"type": "string", "pattern": "^[a-z]+\\.[a-z_]+$"},
    "title": {"type": "string"},
    "verdict": {"enum": ["met", "not met", "undecided", "not checked", "not applicable"]},
    "severity": {"enum": ["blocker", "major", "minor", "info"]},
    "duct": {"type": "string"},
    "subject": {"description": "The place in words.", "type": "string"},
    "part": {"type": ["string", "null"]},
    "measured": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/measured"}]},
    "not_assessed": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/not_assessed"}]},
    "limit": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/limit"}]},
    "margin": {"description": "How far the whole interval lies inside the limit, in the unit of the value; negative when any of it lies outside.", "$ref": "#/$defs/number"},
    "hint": {"type": "string"},
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   },
   "oneOf": [
    {"properties": {"measured": {"type": "null"}, "not_assessed": {"type": "object"}}},
    {"properties": {"measured": {"type": "object"}, "not_assessed": {"type": "null"}}}
   ]
  },
  "restriction": {
   "type": "object",
   "required": ["estimate", "not_assessed"],
   "additionalProperties": false,
   "properties": {
    "not_assessed": {"oneOf": [{"type": "null"}, {"$ref": "#/$defs/not_assessed"}]},
    "estimate": {
     "oneOf": [
      {"type": "null"},
      {
       "type": "object",
       "required": ["total_loss_Pa", "uncertainty_low_Pa", "uncertainty_high_Pa", "contributions", "elements", "chokes_at", "notes"],
       "additionalProperties": false,
       "properties": {
        "total_loss_Pa": {"description": "Loss of total pressure, outside air to compressor face.", "$ref": "#/$defs/number"},
        "uncertainty_low_Pa": {"$ref": "#/$defs/number"},
        "uncertainty_high_Pa": {"$ref": "#/$defs/number"},
        "chokes_at": {"description": "The element the rated flow does not pass: the estimate ends ahead of it. Null when it passes everywhere.", "type": ["string", "null"]},
        "contributions": {"description": "In Pa.", "type": "array", "items": {"$ref": "#/$defs/contribution"}},
        "elements": {
         "description": "In order of flow.",
         "type": "array",
         "items": {
          "type": "object",
          "required": ["name", "station_from_mm", "station_to_mm", "loss_coefficient", "velocity_m_per_s", "mach", "loss_Pa", "total_behind_Pa", "static_behind_Pa", "contributions"],
          "additionalProperties": false,
          "properties": {
           "name": {"type": "string"},
           "station_from_mm": {"$ref": "#/$defs/number"},
           "station_to_mm": {"$ref": "#/$defs/number"},
           "loss_coefficient": {"description": "0 where the loss comes from a curve.", "$ref": "#/$defs/number"},
           "velocity_m_per_s": {"$ref": "#/$defs/number"},
           "mach": {"description": "0 where the loss comes from a curve.", "$ref": "#/$defs/number"},
           "loss_Pa": {"$ref": "#/$defs/number"},
           "total_behind_Pa": {"description": "Total pressure behind it, absolute.", "$ref": "#/$defs/number"},
           "static_behind_Pa": {"description": "Static pressure there, absolute, in the bore behind it; null where there is none.", "$ref": "#/$defs/number"},
           "contributions": {"description": "In Pa.", "type": "array", "items": {"$ref": "#/$defs/contribution"}},
           "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
          }
         }
        },
        "notes": {"$ref": "#/$defs/lines"},
        "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
       }
      }
     ]
    }
   }
  },
  "gauge_readings": {
   "type": "array",
   "items": {
    "type": "object",
    "required": ["tap", "station_mm", "total_loss_Pa", "below_ambient_Pa", "uncertainty_low_Pa", "uncertainty_high_Pa"],
    "additionalProperties": false,
    "properties": {
     "tap": {"description": "Id of the tap; the compressor face stands last, whether it has a tap or not.", "type": "string"},
     "station_mm": {"$ref": "#/$defs/number"},
     "total_loss_Pa": {"description": "Loss of total pressure from outside air to this station.", "$ref": "#/$defs/number"},
     "below_ambient_Pa": {"description": "What a gauge on a static wall tap here shows.", "$ref": "#/$defs/number"},
     "uncertainty_low_Pa": {"$ref": "#/$defs/number"},
     "uncertainty_high_Pa": {"$ref": "#/$defs/number"},
     "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
    }
   }
  },
  "bend_table": {
   "description": "Feed, rotation, bend. Positive rotation turns the bend plane right-handed about the feed direction. Nominal: no springback, no stretch.",
   "type": "object",
   "required": ["rows", "last_length_mm", "developed_mm"],
   "additionalProperties": false,
   "properties": {
    "rows": {
     "type": "array",
     "items": {
      "type": "object",
      "required": ["length_before_mm", "rotation_deg", "angle_deg", "radius_mm", "arc_mm"],
      "additionalProperties": false,
      "properties": {
       "length_before_mm": {"$ref": "#/$defs/number"},
       "rotation_deg": {"$ref": "#/$defs/number"},
       "angle_deg": {"$ref": "#/$defs/number"},
       "radius_mm": {"$ref": "#/$defs/number"},
       "arc_mm": {"$ref": "#/$defs/number"},
       "pieces": {"description": "Not bent but welded of so many straight pieces.", "$ref": "#/$defs/number"},
       "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
      }
     }
    },
    "last_length_mm": {"$ref": "#/$defs/number"},
    "developed_mm": {"$ref": "#/$defs/number"},
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "placed": {
   "type": "object",
   "required": ["kind", "station_from_mm", "station_to_mm"],
   "additionalProperties": false,
   "properties": {
    "id": {"type": "string"},
    "name": {"type": "string"},
    "kind": {"type": "string"},
    "station_from_mm": {"$ref": "#/$defs/number"},
    "station_to_mm": {"$ref": "#/$defs/number"},
    "carrier": {"description": "The body or bodies it moves with, in words.", "type": "string"},
    "bend_table": {"description": "Of a rigid tube, from its own upstream cut end.", "$ref": "#/$defs/bend_table"},
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "faces": {"description": "Which way round the screw's head faces, seen along the flow; null: a clamp without a screw.", "enum": ["clockwise", "counter-clockwise", null]},
  "clamp_position": {
   "oneOf": [
    {"type": "null"},
    {
     "type": "object",
     "required": ["clock_deg", "faces", "in_sight", "tool"],
     "additionalProperties": false,
     "properties": {
      "clock_deg": {"description": "Of the screw round the hose, 0 up, clockwise seen along the flow.", "$ref": "#/$defs/number"},
      "faces": {"$ref": "#/$defs/faces"},
      "in_sight": {"type": "boolean"},
      "tool": {"type": "string"},
      "free_arc_deg": {"description": "Of the handle, proven free; absent: the tool rolls in the hand.", "$ref": "#/$defs/number"},
      "strokes_per_turn": {"type": "integer", "minimum": 1},
      "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
     }
    }
   ]
  },
  "clamp": {
   "type": "object",
   "required": ["name", "type", "station_mm", "reach", "declared_clock_deg", "declared_faces", "taken", "recommended", "reached_with_parts_out", "tools"],
   "additionalProperties": false,
   "properties": {
    "name": {"description": "Coupler and end.", "type": "string"},
    "type": {"type": "string"},
    "station_mm": {"$ref": "#/$defs/number"},
    "reach": {"enum": ["in sight", "by feel", "special tool", "no way found", "ways unknown", "not reachable"]},
    "declared_clock_deg": {"$ref": "#/$defs/number"},
    "declared_faces": {"enum": ["clockwise", "counter-clockwise", null]},
    "taken": {"description": "The declared position, else the recommended one; null: it cannot be worked there.", "$ref": "#/$defs/clamp_position"},
    "recommended": {"description": "Of all positions; null: none serves, or the others were not looked at.", "$ref": "#/$defs/clamp_position"},
    "reached_with_parts_out": {"description": "Parts without which it is reached; none: it is reached with them, or not without them either.", "type": "array", "items": {"type": "string"}},
    "tools": {
     "type": "array",
     "items": {
      "type": "object",
      "required": ["name", "usable", "widest_arc"],
      "additionalProperties": false,
      "properties": {
       "name": {"type": "string"},
       "usable": {
        "description": "Stretches of the clock, every 5 degrees looked at.",
        "type": "array",
        "items": {
         "type": "object",
         "required": ["faces", "from_deg", "to_deg", "in_sight"],
         "additionalProperties": false,
         "properties": {
          "faces": {"$ref": "#/$defs/faces"},
          "from_deg": {"$ref": "#/$defs/number"},
          "to_deg": {"$ref": "#/$defs/number"},
          "in_sight": {"type": "boolean"},
          "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
         }
        }
       },
       "widest_arc": {
        "oneOf": [
         {"type": "null"},
         {
          "type": "object",
          "required": ["clock_deg", "faces", "free_arc_deg", "strokes_per_turn"],
          "additionalProperties": false,
          "properties": {
           "clock_deg": {"$ref": "#/$defs/number"},
           "faces": {"$ref": "#/$defs/faces"},
           "free_arc_deg": {"$ref": "#/$defs/number"},
           "strokes_per_turn": {"type": "integer", "minimum": 1},
           "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
          }
         }
        ]
       },
       "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
      }
     }
    },
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "slice_clearance": {
   "description": "lo_mm is proven for all parts, hi_mm attained by the nearest one. tightest: the part with the least clearance less need; null when none within the range needs a distance.",
   "type": "object",
   "required": ["part", "lo_mm", "hi_mm", "tightest"],
   "additionalProperties": false,
   "properties": {
    "part": {"description": "The nearest one; null: nothing within the range.", "type": ["string", "null"]},
    "lo_mm": {"$ref": "#/$defs/number"},
    "hi_mm": {"$ref": "#/$defs/number"},
    "tightest": {
     "oneOf": [
      {"type": "null"},
      {
       "type": "object",
       "required": ["part", "lo_mm", "hi_mm", "need_mm"],
       "additionalProperties": false,
       "properties": {
        "part": {"type": "string"},
        "lo_mm": {"$ref": "#/$defs/number"},
        "hi_mm": {"$ref": "#/$defs/number"},
        "need_mm": {"description": "What the sheet asks of the slice there.", "$ref": "#/$defs/number"},
        "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
       }
      }
     ]
    },
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  },
  "duct": {
   "type": "object",
   "required": ["id", "name", "service", "material", "length_mm", "bend_table", "pieces", "fittings"],
   "additionalProperties": false,
   "properties": {
    "id": {"type": "string"},
    "name": {"type": "string"},
    "service": {"enum": ["raw air", "intake", "charge hot", "charge cold", "breather"]},
    "material": {"type": "string"},
    "length_mm": {"$ref": "#/$defs/number"},
    "bend_table": {"description": "Of the whole route, across joints: no cutting list; see pieces.", "$ref": "#/$defs/bend_table"},
    "pieces": {"type": "array", "items": {"$ref": "#/$defs/placed"}},
    "fittings": {"type": "array", "items": {"$ref": "#/$defs/placed"}},
    "restriction": {
     "type": "object",
     "required": ["clean", "dirty"],
     "additionalProperties": false,
     "properties": {"clean": {"$ref": "#/$defs/restriction"}, "dirty": {"$ref": "#/$defs/restriction"}}
    },
    "gauge_readings": {
     "type": "object",
     "required": ["clean", "dirty"],
     "additionalProperties": false,
     "properties": {"clean": {"$ref": "#/$defs/gauge_readings"}, "dirty": {"$ref": "#/$defs/gauge_readings"}}
    },
    "clamps": {"description": "Hose clamps of a type that the tables know.", "type": "array", "items": {"$ref": "#/$defs/clamp"}},
    "clearance_profile": {
     "description": "Clearance along the duct, without the uncertainty of the inputs.",
     "type": "object",
     "required": ["range_mm", "slices"],
     "additionalProperties": false,
     "properties": {
      "range_mm": {"description": "Nothing was followed farther than this.", "$ref": "#/$defs/number"},
      "slices": {
       "description": "Short stretches of one piece each, piece by piece along the flow; pieces overlap where a hose sits on a tube.",
       "type": "array",
       "items": {
        "type": "object",
        "required": ["piece", "station_from_mm", "station_to_mm", "excepted", "at_rest", "over_motion"],
        "additionalProperties": false,
        "properties": {
         "piece": {"type": "string"},
         "station_from_mm": {"$ref": "#/$defs/number"},
         "station_to_mm": {"$ref": "#/$defs/number"},
         "excepted": {"description": "Touches a part by design, which is left out here.", "type": "boolean"},
         "at_rest": {"$ref": "#/$defs/slice_clearance"},
         "over_motion": {"$ref": "#/$defs/slice_clearance"},
         "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
        }
       }
      },
      "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
     }
    },
    "contact_exceptions": {
     "description": "Pairs that touch by design and were left out.",
     "type": "array",
     "items": {
      "type": "object",
      "required": ["piece", "part", "reason"],
      "additionalProperties": false,
      "properties": {"piece": {"type": "string"}, "part": {"type": "string"}, "reason": {"type": "string"}}
     }
    },
    "parts_not_measured": {"$ref": "#/$defs/lines"},
    "missing_numbers": {"$ref": "#/$defs/missing_numbers"}
   }
  }
 }
}
)json";
}

}  // namespace baywright::report
