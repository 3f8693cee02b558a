package structural

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Roof is the shape of a roof.
type Roof string

// The shapes with tabulated coefficients.
const (
	Flat      Roof = "flat"
	Gable     Roof = "gable"
	Hip       Roof = "hip"
	Monoslope Roof = "monoslope"
)

// Figure is the coefficient figure that holds for one roof shape and slope,
// resolved once and then read for any zone and area.
type Figure struct {
	Edition string
	Roof    Roof
	Slope   float64 // degrees
	Name    string  // number of the figure, such as 30.3-2B
	Ref     table.Ref

	geometry string
	widths   zoneFactors
	uplift   map[string]*Curve // by zone
	down     *Curve
	names    map[string]string // zone at each place
	order    []string          // zones in the order of the table
}

// Figure finds the figure of a roof shape and slope (degrees). heightOverWidth
// is h over the least plan dimension; NaN if not known, which is an error only
// where the figure depends on it (7-16 hip roofs of 7 to 20 degrees).
func (w *ASCE7) Figure(roof Roof, slope, heightOverWidth float64) (*Figure, error) {
	if err := notNegative("slope", slope); err != nil {
		return nil, err
	}
	key, steepest := "", 0.0
	for _, r := range w.figures.Rows {
		if name, _ := w.figures.Text(r.Key, "roof"); Roof(name) != roof {
			continue
		}
		steepest, _ = w.figures.Quantity(r.Key, "slope-to")
		if slope <= steepest {
			key = r.Key
			break
		}
	}
	if steepest == 0 {
		return nil, fmt.Errorf("roof %q is none of flat, gable, hip, monoslope", roof)
	}
	if key == "" {
		return nil, &ScopeError{"ASCE " + w.Edition + " roof figures", []string{fmt.Sprintf("slope %.4g deg is above %.4g deg, the steepest %s roof with coefficients", slope, steepest, roof)}}
	}
	return w.figure(key, roof, slope, heightOverWidth)
}

func (w *ASCE7) figure(key string, roof Roof, slope, heightOverWidth float64) (*Figure, error) {
	text := func(column string) string { s, _ := w.figures.Text(key, column); return s }
	f := &Figure{Edition: w.Edition, Roof: roof, Slope: slope, Name: text("figure"), Ref: w.figures.Ref(key), geometry: text("geometry"), widths: w.widths}
	low, high := text("low"), text("high")
	if low == "" {
		return nil, &ScopeError{"ASCE " + w.Edition + " Figure " + f.Name, []string{"the coefficients of this figure are not tabulated here, so the roof is not evaluated"}}
	}
	s := &source{}
	f.uplift, f.down = w.curves(s, low)
	if high != "" {
		share, err := w.share(key, slope, heightOverWidth)
		if err != nil {
			return nil, err
		}
		other, down := w.curves(s, high)
		for z, c := range f.uplift {
			if other[z] == nil {
				return nil, fmt.Errorf("figure %s: zone %s stands in one of two curves only", f.Name, z)
			}
			f.uplift[z] = c.blend(other[z], share)
		}
		f.down = f.down.blend(down, share)
	}
	f.names = map[string]string{}
	for _, place := range w.zones.Columns[1:] {
		if name, _ := w.zones.Text(low, place); name != "" {
			f.names[place] = name
		}
	}
	for _, r := range w.gcp.Rows {
		if z, ok := strings.CutPrefix(r.Key, low+" "); ok && f.uplift[z] != nil {
			f.order = append(f.order, z)
		}
	}
	return f, s.err()
}

// share is how far the roof lies from the low curve to the high one.
func (w *ASCE7) share(key string, slope, heightOverWidth float64) (float64, error) {
	low, _ := w.figures.Number(key, "low-at")
	high, _ := w.figures.Number(key, "high-at")
	x := slope
	if by, _ := w.figures.Text(key, "by"); by == "height-over-width" {
		if !(heightOverWidth > 0) {
			return 0, fmt.Errorf("height over width is needed: the coefficients of this roof depend on it in ASCE %s", w.Edition)
		}
		x = heightOverWidth
	}
	return math.Min(1, math.Max(0, (x-low)/(high-low))), nil
}

func (w *ASCE7) curves(s *source, band string) (uplift map[string]*Curve, down *Curve) {
	uplift = map[string]*Curve{}
	for _, r := range w.gcp.Rows {
		switch zone, ok := strings.CutPrefix(r.Key, band+" "); {
		case !ok:
		case zone == "down":
			down = s.curve(w.gcp, r.Key)
		default:
			uplift[zone] = s.curve(w.gcp, r.Key)
		}
	}
	return uplift, down
}

// primes are the signs that are written for the prime of a zone.
var primes = strings.NewReplacer("’", "'", "′", "'")

// ZoneName gives a zone the name the figures use: 1p is written 1'.
func ZoneName(zone string) string {
	zone = primes.Replace(strings.TrimSpace(zone))
	if rest, ok := strings.CutSuffix(zone, "p"); ok {
		zone = rest + "'"
	}
	return zone
}

// Zones lists the zones of the figure, overhangs last.
func (f *Figure) Zones() []string { return f.order }

// Curve is the uplift curve of a zone.
func (f *Figure) Curve(zone string) (*Curve, error) {
	if c := f.uplift[ZoneName(zone)]; c != nil {
		return c, nil
	}
	return nil, fmt.Errorf("zone %q is not in ASCE %s Figure %s (zones: %s)", zone, f.Edition, f.Name, strings.Join(f.order, ", "))
}

// Uplift is GCp of a zone at an area in m2; it is negative.
func (f *Figure) Uplift(zone string, area float64) (float64, error) {
	c, err := f.Curve(zone)
	if err != nil {
		return 0, err
	}
	if err := positive("area", area); err != nil {
		return 0, err
	}
	return c.At(area), nil
}

// Downward is GCp towards the roof at an area in m2.
func (f *Figure) Downward(area float64) (float64, error) {
	if err := positive("area", area); err != nil {
		return 0, err
	}
	return f.down.At(area), nil
}

// Severest is the zone with the strongest uplift at an area. A tributary that
// touches several zones takes the severest of them.
func (f *Figure) Severest(area float64, zones ...string) (string, error) {
	worst, at := "", math.Inf(1)
	for _, z := range zones {
		v, err := f.Uplift(z, area)
		if err != nil {
			return "", err
		}
		if v < at {
			worst, at = ZoneName(z), v
		}
	}
	if worst == "" {
		return "", fmt.Errorf("no zone given")
	}
	return worst, nil
}

// Place is where a point of a roof lies: its distances in plan, in m, to the
// nearest edge of each kind; +Inf for a kind the roof does not have. On a
// monoslope roof Eave is the low eave. Hip stands beside Ridge. Adjacent is
// needed on flat roofs and on hip roofs under the flat figure: the distance to
// the edge that meets the nearest edge at the nearest corner of the outline.
type Place struct {
	Eave, HighEave, Rake, Ridge, Hip, Adjacent float64
}

// Anywhere is a Place with no edge near; set the distances that are known.
func Anywhere() Place {
	inf := math.Inf(1)
	return Place{inf, inf, inf, inf, inf, inf}
}

// Envelope stands for a figure where none reaches a roof: everywhere the largest
// coefficient of all roofs of the edition. Its zones are those of the figure of
// the shape that comes nearest.
func (w *ASCE7) Envelope(roof Roof, slope, heightOverWidth float64) (*Figure, error) {
	steepest := 0.0
	for _, r := range w.figures.Rows {
		if name, _ := w.figures.Text(r.Key, "roof"); Roof(name) == roof {
			steepest, _ = w.figures.Quantity(r.Key, "slope-to")
		}
	}
	f, err := w.Figure(roof, math.Min(slope, steepest), heightOverWidth)
	if err != nil {
		return nil, err
	}
	f.Slope, f.Name, f.Ref = slope, "none, the largest of all roofs", w.gcp.Ref("")
	s := &source{}
	up, down := &Curve{}, &Curve{}
	for _, r := range w.gcp.Rows {
		switch c := s.curve(w.gcp, r.Key); {
		case strings.HasSuffix(r.Key, " overhang"):
		case strings.HasSuffix(r.Key, " down"):
			if down.areas == nil || c.values[0] > down.values[0] {
				down = c
			}
		case up.areas == nil || c.values[0] < up.values[0]:
			up = c
		}
	}
	for zone := range f.uplift {
		f.uplift[zone] = up.peak()
	}
	f.down = down.peak()
	return f, s.err()
}

// Zone finds the zone of a place. a is the strip width of sloped roofs
// (ZoneWidth), height the mean roof height, both in m. Where strips overlap
// the zone with the strongest uplift holds, of equals the corner.
func (f *Figure) Zone(p Place, a, height float64) string {
	switch f.geometry {
	case "flat":
		return f.names[flatPlace(p, f.widths.flatCorner*height, f.widths.flatEdge*height, f.widths.flatInterior*height)]
	case "strips":
		return f.names[flatPlace(p, a, a, math.Inf(1))]
	}
	at := f.names["field"]
	worse := func(place string, inside bool) {
		if name := f.names[place]; inside && name != "" && !f.stronger(at, name) {
			at = name
		}
	}
	low, edge, corner := a, a, a
	if f.geometry == "monoslope" {
		low, edge, corner = f.widths.monoLow*a, f.widths.monoEdge*a, f.widths.monoCorner*a
	}
	rake, ridge := near(p.Rake, edge), near(math.Min(p.Ridge, p.Hip), a)
	worse("eave", near(p.Eave, low))
	worse("rake", rake)
	worse("ridge", ridge)
	worse("high-eave", near(p.HighEave, edge))
	worse("ridge-corner", ridge && rake)
	worse("high-corner", near(p.HighEave, edge) && near(p.Rake, corner))
	if f.geometry == "hip" {
		worse("eave-corner", near(p.Eave, a) && near(p.Hip, a))
	} else {
		worse("eave-corner", near(p.Eave, edge) && rake)
	}
	return at
}

// flatPlace is the place on a roof whose edges are all alike: corners of a leg
// of one depth by another, strips at the edges, and what lies further in.
func flatPlace(p Place, corner, edge, interior float64) string {
	first := math.Min(math.Min(p.Eave, p.HighEave), p.Rake)
	second := p.Adjacent
	if math.IsInf(second, 1) {
		second = math.Max(math.Min(p.Eave, p.HighEave), p.Rake)
	}
	switch {
	case near(first, corner) && near(second, edge):
		return "eave-corner"
	case near(first, edge):
		return "eave"
	case near(first, interior):
		return "field"
	}
	return "interior"
}

// near reports whether a distance lies within a strip; a point on the line
// belongs to the strip.
func near(distance, width float64) bool { return Meets(distance, width) }

// stronger compares two zones at 1 m2, where every curve is near its peak.
func (f *Figure) stronger(zone, than string) bool {
	return f.uplift[zone].At(1) < f.uplift[than].At(1)
}

// Strips are the distances from edges, in m, at which a zone can begin.
func (f *Figure) Strips(a, height float64) []float64 {
	switch f.geometry {
	case "flat":
		return []float64{f.widths.flatCorner * height, f.widths.flatEdge * height, f.widths.flatInterior * height}
	case "monoslope":
		return []float64{f.widths.monoLow * a, f.widths.monoEdge * a, f.widths.monoCorner * a}
	}
	return []float64{a}
}

// EdgeStrip is how deep the zone along the edges is, in m, and what it is in
// words: the widest of the strips that the figure draws along its edges. The
// corners have legs of their own.
func (f *Figure) EdgeStrip(a, height float64) (depth float64, words string) {
	switch f.geometry {
	case "flat":
		return f.widths.flatEdge * height, fmt.Sprintf("%.1f h, with corners of %.1f h by %.1f h", f.widths.flatEdge, f.widths.flatEdge, f.widths.flatCorner)
	case "monoslope":
		return f.widths.monoEdge * a, fmt.Sprintf("%.0f a at rakes and high eave, with high corners of %.0f a", f.widths.monoEdge, f.widths.monoCorner)
	}
	return a, "a"
}

// StripsOfA reports whether the strips along edges are multiples of a, so that a
// letter may give a in place of one of them.
func (f *Figure) StripsOfA() bool { return f.geometry == "monoslope" }

// CheckHeight is an error for a mean roof height above that of the figures.
func (w *ASCE7) CheckHeight(height float64) error {
	if err := positive("height", height); err != nil {
		return err
	}
	if !Meets(height, w.wind.heightLimit) {
		return &ScopeError{"ASCE " + w.Edition + " Figures 30.3-2 to 30.3-6", []string{fmt.Sprintf("mean roof height %s is above %s",
			show(quantity.US, height, quantity.Length), show(quantity.US, w.wind.heightLimit, quantity.Length))}}
	}
	return nil
}

// RectanglePlace is the Place of a point of a rectangular roof, all in plan
// and m: x along the length and y along the width from one corner. A gable
// ridge runs along the length, a hip roof's along the longer side with hips
// at 45 degrees in plan; a monoslope roof has its low eave at y = 0.
func RectanglePlace(roof Roof, length, width, x, y float64) (Place, error) {
	if err := positive("length", length, "width", width); err != nil {
		return Place{}, err
	}
	if !(x >= 0 && x <= length && y >= 0 && y <= width) {
		return Place{}, fmt.Errorf("point %.4g, %.4g m is not on a roof of %.4g by %.4g m", x, y, length, width)
	}
	p := Anywhere()
	dx, dy := math.Min(x, length-x), math.Min(y, width-y)
	switch roof {
	case Gable:
		p.Eave, p.Rake, p.Ridge = dy, dx, math.Abs(y-width/2)
	case Monoslope:
		p.Eave, p.HighEave, p.Rake = y, width-y, dx
	case Hip:
		p.Eave, p.Adjacent = math.Min(dx, dy), math.Max(dx, dy)
		// fold the roof to one quarter: u along the longer side, v along the shorter
		u, v, half := dx, dy, width/2
		if width > length {
			u, v, half = dy, dx, length/2
		}
		p.Hip = segment(u, v, 0, 0, half, half)
		p.Ridge = math.Hypot(math.Max(0, half-u), half-v)
	default:
		p.Eave, p.Adjacent = math.Min(dx, dy), math.Max(dx, dy)
	}
	return p, nil
}

// segment is the distance from a point to a line segment.
func segment(x, y, x1, y1, x2, y2 float64) float64 {
	dx, dy := x2-x1, y2-y1
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Min(1, math.Max(0, ((x-x1)*dx+(y-y1)*dy)/l))
	}
	px, py := x-x1-t*dx, y-y1-t*dy
	return math.Sqrt(px*px + py*py) // lengths of a roof: nothing to guard against that Hypot would
}
