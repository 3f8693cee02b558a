# Writes the DXF files of this folder, and testdata/drafts/hip-roof.dxf, with python3-ezdxf 0.18.1 of Debian 12:
#     python3 make-dxf.py
# The tests read the files and do not run this.
import ezdxf
from ezdxf import units

def hip(msp):
    # A hip roof of 40 ft by 24 ft, corner at (1000, 500), in inches: front and back drawn as
    # closed polylines, left and right as loose lines.
    x, y, l, w = 1000.0, 500.0, 480.0, 288.0
    h = w / 2
    msp.add_lwpolyline([(x, y), (x + l, y), (x + l - h, y + h), (x + h, y + h)], close=True, dxfattribs={"layer": "ROOF front"})
    msp.add_lwpolyline([(x, y + w), (x + h, y + h), (x + l - h, y + h), (x + l, y + w), (x, y + w)], dxfattribs={"layer": "ROOF back"})
    for a, b in [((x, y), (x + h, y + h)), ((x, y + w), (x + h, y + h)), ((x, y), (x, y + w))]:
        msp.add_line(a, b, dxfattribs={"layer": "ROOF-left"})
    msp.add_polyline2d([(x + l, y), (x + l, y + w), (x + l - h, y + h)], close=True, dxfattribs={"layer": "ROOF_right"})
    msp.add_lwpolyline([(1200, 520), (1230, 520), (1230, 566), (1200, 566)], close=True, dxfattribs={"layer": "SKYLIGHT"})

def new(version, unit):
    doc = ezdxf.new(version)
    doc.units = unit
    return doc, doc.modelspace()

doc, msp = new("R2010", units.IN)
hip(msp)
msp.add_text("ROOF PLAN", dxfattribs={"layer": "ROOF front"})
msp.add_line((0, 0), (10, 0), dxfattribs={"layer": "A-WALL"})
block = doc.blocks.new("TREE")
block.add_circle((0, 0), 3)
msp.add_blockref("TREE", (900, 400), dxfattribs={"layer": "L-PLNT"})
msp.add_circle((1300, 550), 3, dxfattribs={"layer": "P-VENT"})
doc.saveas("../../../../testdata/drafts/hip-roof.dxf")

doc, msp = new("R12", 0)
for pts, layer in [([(0, 0), (12.5, 0), (12.5, 8.25), (0, 8.25)], "ROOF"), ([(4, 2), (6, 2), (6, 3.5), (4, 3.5)], "HOLE")]:
    msp.add_polyline2d(pts, close=True, dxfattribs={"layer": layer})
doc.saveas("court-r12.dxf")

doc, msp = new("R2018", units.M)
msp.add_lwpolyline([(0, 0), (10, 0), (10, 6), (0, 6)], close=True, dxfattribs={"layer": "A-ROOF-Dach Süd"})
doc.saveas("named.dxf")

doc, msp = new("R2010", units.FT)
msp.add_lwpolyline([(0, 0, 0.5), (40, 0, 0), (40, 20, 0), (0, 20, 0)], format="xyb", close=True, dxfattribs={"layer": "ROOF curved"})
msp.add_arc((0, 0), 5, 0, 90, dxfattribs={"layer": "ROOF curved"})
msp.add_spline([(0, 0), (5, 5), (10, 0)], dxfattribs={"layer": "ROOF curved"})
block = doc.blocks.new("PLANE")
block.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True)
msp.add_blockref("PLANE", (0, 0), dxfattribs={"layer": "ROOF block"})
for a, b in [((0, 0), (10, 0)), ((10, 0), (10, 8)), ((10, 8), (0, 8)), ((0, 8), (0, 0.25))]:
    msp.add_line(a, b, dxfattribs={"layer": "ROOF gap"})
p = msp.add_lwpolyline([(0, 0), (10, 0), (10, 8)], close=True, dxfattribs={"layer": "ROOF tilted"})
p.dxf.extrusion = (1, 0, 0)
doc.saveas("faulty.dxf")
