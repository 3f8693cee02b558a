package roofs

import (
	"fmt"
	"math"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/roofplan"
)

// Arrays that the job file places by setbacks stand, in the frame that
// distances on a roof are measured in, where they were put: on planes that face
// all ways, one corner on the side of the outline that they were put against.
func TestSetbacksAreThoseOfTheRoof(t *testing.T) {
	for bearing := 0.0; bearing < 360; bearing += 35 {
		// 12 m wide at the eave, 6 m at the ridge, the left end steeper than the right.
		sin, cos := math.Sincos(bearing * math.Pi / 180)
		var outline []roofplan.Point
		text := ""
		for _, p := range []roofplan.Point{{X: 0, Y: 0}, {X: 12, Y: 0}, {X: 8, Y: 7}, {X: 2, Y: 7}} {
			// x to the right and y up the slope of a plane whose way down is the bearing.
			q := roofplan.Point{X: 3 - p.X*cos - p.Y*sin, Y: 5 + p.X*sin - p.Y*cos}
			outline = append(outline, q)
			text += fmt.Sprintf("[\"%.12f m\", \"%.12f m\"], ", q.X, q.Y)
		}
		array := func(name, keys string) string {
			return fmt.Sprintf("[[array]]\nname = %q\nplane = \"p\"\nmodule = \"M\"\nrows = 2\ncolumns = 3\norientation = \"landscape\"\ngap_x = \"20 mm\"\ngap_y = \"0 mm\"\n%s\n", name, keys)
		}
		j, err := job.Parse("job.toml", []byte("project.name = \"x\"\n[[plane]]\nname = \"p\"\noutline = ["+text+"]\nslope = \"30 deg\"\n"+
			fmt.Sprintf("downslope = \"%g deg\"\n", bearing)+
			"[[module_type]]\nname = \"M\"\nlength = \"1.7 m\"\nwidth = \"1.1 m\"\n"+
			array("left", "across = \"from_left\"\nsetback_left = \"0 m\"\nabove_eave = \"1.5 m\"")+
			array("right", "across = \"from_right\"\nsetback_right = \"0 m\"\nbelow_ridge = \"0.5 m\"")+
			array("middle", "across = \"centred\"\nabove_eave = \"0 m\"")), nil)
		if err != nil {
			t.Fatal(err)
		}
		roof, err := roofplan.New([]roofplan.Plane{{Name: "p", Outline: outline, Slope: 30, Downslope: bearing}}, roofplan.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		const width, height = 3*1.7 + 2*0.020, 2 * 1.1
		var ring []roofplan.Point
		for _, q := range outline {
			ring = append(ring, roof.Frame(0).ToSurface(q))
		}
		// gap is how far a point stands inside a side, from its corner of a number.
		gap := func(p roofplan.Point, side int) float64 {
			a, b := ring[side], ring[(side+1)%4]
			return ((b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)) / math.Hypot(b.X-a.X, b.Y-a.Y)
		}
		for i, want := range []struct {
			side     int
			right    bool // the corner that touches is on the right
			eave, up float64
		}{{3, false, 1.5, 0}, {1, true, -1, 0.5}, {-1, false, 0, 0}} {
			o := j.Arrays[i].Origin.Value
			corner := roofplan.Point{X: o.X, Y: o.Y + height}
			if want.right {
				corner.X += width
			}
			name := j.Arrays[i].Name.Value
			if want.side >= 0 && math.Abs(gap(corner, want.side)) > 1e-6 {
				t.Errorf("bearing %g: %s stands %g m from its side", bearing, name, gap(corner, want.side))
			}
			if low := gap(roofplan.Point{X: o.X, Y: o.Y}, 0); want.eave >= 0 && math.Abs(low-want.eave) > 1e-6 {
				t.Errorf("bearing %g: %s stands %g m above the eave", bearing, name, low)
			}
			if high := gap(corner, 2); name == "right" && math.Abs(high-want.up) > 1e-6 {
				t.Errorf("bearing %g: %s stands %g m below the ridge", bearing, name, high)
			}
			if name == "middle" {
				left, right := ring[3].X*corner.Y/ring[3].Y, 12-(12-ring[2].X)*corner.Y/ring[2].Y
				if d := (corner.X - left) - (right - corner.X - width); math.Abs(d) > 1e-6 {
					t.Errorf("bearing %g: the middle is %g m off", bearing, d/2)
				}
			}
		}
	}
}
