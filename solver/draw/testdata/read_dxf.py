"""Reads a DXF file with ezdxf and prints what the Go test compares, as JSON."""

import json
import math
import sys

import ezdxf
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.math import bulge_to_arc

doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()


def measure(e):
    """Length and signed area from vertices and bulges, without flattening."""
    points = list(e.get_points("xyb"))
    if e.closed:
        points.append(points[0])
    length = area = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(points, points[1:]):
        area += (x0 * y1 - x1 * y0) / 2
        if bulge == 0:
            length += math.dist((x0, y0), (x1, y1))
            continue
        _, start, end, radius = bulge_to_arc((x0, y0), (x1, y1), bulge)
        turn = (end - start) % math.tau
        length += radius * turn
        area += math.copysign(radius * radius * (turn - math.sin(turn)) / 2, bulge)
    return length, area


entities = []
for e in doc.modelspace():
    d = {
        "Kind": e.dxftype(),
        "Layer": e.dxf.layer,
        "Ltype": e.dxf.get("linetype", "BYLAYER"),
        "Color": e.dxf.get("color", 256),
    }
    if d["Kind"] == "LWPOLYLINE":
        d["Closed"] = e.closed
        d["Length"], d["Area"] = measure(e)
        d["Arcs"] = sum(1 for p in e.get_points("b") if p[0] != 0)
    else:
        d["Text"] = decode_dxf_unicode(e.plain_text())
        d["Align"] = e.dxf.halign
        at = e.dxf.align_point if e.dxf.halign else e.dxf.insert
        d["At"] = [at.x, at.y]
        d["Height"] = e.dxf.height
        d["Rotation"] = e.dxf.rotation
    entities.append(d)

print(json.dumps({
    "Errors": [x.message for x in audit.errors],
    "Fixes": [x.message for x in audit.fixes],
    "Version": doc.dxfversion,
    "Units": doc.header["$INSUNITS"],
    "Metric": doc.header["$MEASUREMENT"],
    "ExtMin": list(doc.header["$EXTMIN"]),
    "ExtMax": list(doc.header["$EXTMAX"]),
    "Layers": {
        x.dxf.name: {
            "Color": x.dxf.color,
            "Ltype": x.dxf.linetype,
            "Weight": x.dxf.get("lineweight", -3),
            "Plot": bool(x.dxf.get("plot", 1)),
        }
        for x in doc.layers
    },
    "Ltypes": {
        x.dxf.name: [t.value for t in x.pattern_tags.tags if t.code == 49]
        for x in doc.linetypes
    },
    "Layouts": list(doc.layout_names()),
    "Entities": entities,
}))
