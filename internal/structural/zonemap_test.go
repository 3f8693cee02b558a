package structural

import (
	"math"
	"testing"
)

// A roof of many corners is cut into pieces by the thousand and not by the
// square of its edges; they cover it, and each point has the zone of its piece, save
// where a strip would round the end of an edge: 2 % of this toothed roof.
func TestZoneMapOfManyCorners(t *testing.T) {
	const corners, strip, height = 100, 1.0, 5.0
	f := must(asce(t, "7-16").Figure(Gable, 20, math.NaN()))(t)
	var outline []Point
	for i := range corners {
		r := 30.0
		if i%2 == 1 {
			r = 27
		}
		at := 2 * math.Pi * float64(i) / corners
		outline = append(outline, Point{r * math.Cos(at), r * math.Sin(at)})
	}
	var edges []RoofEdge
	for i := range outline {
		kind := EaveEdge
		if i%3 == 0 {
			kind = RakeEdge
		}
		edges = append(edges, RoofEdge{outline[i], outline[(i+1)%corners], kind})
	}
	pieces := must(f.ZoneMap(outline, edges, strip, height))(t)
	area, misnamed, points := 0.0, 0, 0
	for _, p := range pieces {
		area += Area(p.Outline)
		c := centre(p.Outline)
		// Points spread evenly over each triangle of the piece, as many as its area asks.
		for i := range p.Outline {
			a, b := p.Outline[i], p.Outline[(i+1)%len(p.Outline)]
			n := int(math.Ceil(Area([]Point{c, a, b}) * 20))
			for k := range n {
				u, v := math.Mod(float64(k)*0.7548776662466927+0.5, 1), math.Mod(float64(k)*0.5698402909980532+0.5, 1)
				if u+v > 1 {
					u, v = 1-u, 1-v
				}
				at := Point{c.X + u*(a.X-c.X) + v*(b.X-c.X), c.Y + u*(a.Y-c.Y) + v*(b.Y-c.Y)}
				if points++; f.Zone(PlaceOf(at, edges), strip, height) != p.Zone {
					misnamed++
				}
			}
		}
	}
	t.Logf("%d pieces, %d of %d points are of another zone", len(pieces), misnamed, points)
	if len(pieces) > 20*corners {
		t.Errorf("%d corners make %d pieces", corners, len(pieces))
	}
	if math.Abs(area-Area(outline)) > 1e-6*area {
		t.Errorf("the pieces cover %g m2 of %g", area, Area(outline))
	}
	if float64(misnamed) > 0.03*float64(points) {
		t.Errorf("%d of %d points are of another zone than their piece", misnamed, points)
	}
}
