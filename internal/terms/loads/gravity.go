package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// deadLoad is the weight of modules and mounting per area of the slope.
func deadLoad(c *terms.Call, a *job.Array) float64 {
	terms.Get(c, a.Module)
	terms.Get(c, a.Mounting)
	total := 0.0
	if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
		weight, length, width := c.Q(t.Weight), c.Q(t.Length), c.Q(t.Width)
		if length > 0 && width > 0 {
			total += weight * quantity.StandardGravity / (length * width)
		}
	}
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		total += c.Q(t.Weight)
	}
	return total
}

// roofSnow computes the balanced snow load of the plane under an array by the
// adopted edition. The surface is not counted as slippery: snow guards, arrays
// below and rails stop it, and the larger load is the safe one.
func roofSnow(c *terms.Call, p *job.Plane) structural.RoofSnow {
	s := &c.Job().Site
	ground, edition := c.Q(s.GroundSnow), terms.Get(c, s.GroundSnowEdition)
	in := structural.Snow{Ground: ground, Exposure: terms.Get(c, s.SnowExposure), Thermal: terms.Get(c, s.SnowThermal), Risk: terms.Get(c, s.RiskCategory), Slope: c.Q(p.Slope),
		Importance: math.NaN(), Run: snowRun(c, p)}
	w := asce(c)
	if c.Stop() {
		return structural.RoofSnow{}
	}
	if edition != w.Edition {
		c.Fail("the ground snow load is of ASCE %s while %s is adopted: the two maps are not of one level", edition, w.Edition)
		return structural.RoofSnow{}
	}
	if i, ok := w.SnowRisk(in.Risk); ok {
		in.Importance = i
	}
	r, err := w.RoofSnow(in)
	if err != nil {
		c.Err(err)
	}
	if math.IsNaN(r.Minimum) {
		c.Missing(s.RiskCategory.Key, s.RiskCategory.At)
	}
	return r
}

// snowRun is the horizontal distance from the eave to the top of a plane.
func snowRun(c *terms.Call, p *job.Plane) float64 {
	outline, downslope := terms.Get(c, p.Outline), c.Q(p.Downslope)
	if c.Stop() || len(outline) == 0 {
		return math.NaN()
	}
	east, north := math.Sincos(downslope * math.Pi / 180)
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range outline {
		d := q.X*east + q.Y*north
		low, high = math.Min(low, d), math.Max(high, d)
	}
	return high - low
}

// snowLoad is the largest uniform snow on the horizontal projection, in the
// level of the edition's map: balanced, the minimum of low slopes, and rain on
// snow where it adds.
func snowLoad(c *terms.Call, a *job.Array) float64 {
	r := roofSnow(c, arrays.PlaneOf(c, a))
	return math.Max(r.Sloped+r.RainOnSnow, r.Minimum)
}

// gravityState is the downward demand on the feet of one array.
type gravityState struct {
	snow    structural.RoofSnow
	demands []structural.Demand
	loads   structural.ArrayLoads
}

// downOn computes the feet of an array with its snow. The snow is looked up
// apart from the wind, so that uplift does not wait for it.
var downOn = terms.Analyse(arrayKind, "gravity on the feet", func(c *terms.Call, a *job.Array) *gravityState {
	g := &gravityState{}
	w, _ := windOf(c, a)
	g.snow = roofSnow(c, arrays.PlaneOf(c, a))
	snow := snowLoad(c, a)
	if !c.Stop() {
		g.demands, g.loads = withSnow(c, w, snow)
	}
	c.Cite(g.snow.Refs...)
	return g
})

func withSnow(c *terms.Call, w *windState, snow float64) ([]structural.Demand, structural.ArrayLoads) {
	loads := w.loads
	loads.Snow = snow
	if w.tilted != nil {
		c.Fail("downward load is computed for roof-parallel arrays only; a licensed engineer decides")
		return nil, loads
	}
	demands, err := w.code.Demands(nil, loads, w.feet)
	if err != nil {
		c.Err(err)
	}
	return demands, loads
}

// downslope is the load of a foot along the slope that governs its lateral
// capacity, with the word of its duration. Dead load alone is of permanent
// duration, so wood carries less of it than of dead load with snow.
func downslope(c *terms.Call, a *job.Array, d *structural.Demand) (load float64, lasting string) {
	total, dead := d.DownslopeASD, d.DeadDownslope
	if total <= dead {
		return dead, "permanent"
	}
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok || terms.Peek(c, f.Kind) != "lag" {
		return total, "snow"
	}
	n := nds(c)
	if c.Stop() {
		return total, "snow"
	}
	if dead/duration(c, n, "permanent") > total/duration(c, n, "snow") {
		return dead, "permanent"
	}
	return total, "snow"
}

// seismic computes the horizontal force of the mass on the foot that carries
// most. The array stands on the roof, so it is at the full height.
func seismic(c *terms.Call, a *job.Array) structural.SeismicForce {
	s := &c.Job().Site
	sds, importance := terms.Get(c, s.SDS), terms.Get(c, s.ComponentImport)
	dead := deadLoad(c, a)
	l := arrays.Carried.Of(c, a)
	w := asce(c)
	if c.Stop() {
		return structural.SeismicForce{}
	}
	most := 0.0
	for _, area := range l.Areas {
		most = math.Max(most, area)
	}
	in := structural.NewSeismic(sds, dead*most, importance, 1)
	if _, inside := w.Kd(); !inside { // the edition that moved Kd also changed the form of Fp
		in.Resonance, in.Strength = terms.Get(c, s.ComponentCAR), terms.Get(c, s.ComponentStrength)
	}
	if c.Stop() {
		return structural.SeismicForce{}
	}
	r, err := w.SeismicForce(in)
	if err != nil {
		c.Err(err)
	}
	return r
}

// framing compares the load of one member with and without the array.
func framing(c *terms.Call, a *job.Array) structural.Framing {
	p, b := arrays.PlaneOf(c, a), &c.Job().Building
	dead, live, spacing, slope := c.Q(b.RoofDeadLoad), c.Q(b.RoofLiveLoad), c.Q(p.Framing.Spacing), c.Q(p.Slope)
	added, gap := deadLoad(c, a), c.Q(a.StandOff)
	snow := roofSnow(c, p)
	s := screens(c)
	if c.Stop() {
		return structural.Framing{}
	}
	offset, err := s.LiveLoadOffset(gap)
	if err != nil {
		c.Err(err)
		return structural.Framing{}
	}
	cos := math.Cos(slope * math.Pi / 180)
	f, err := structural.FramingLoad(dead, added, live*cos, snow.GoverningAllowable*cos, spacing, offset)
	if err != nil {
		c.Err(err)
	}
	return f
}

func framingWork(f structural.Framing) func(quantity.System) []string {
	return func(sys quantity.System) []string {
		l := func(v float64) string { return show(sys, v, quantity.ForcePerLength) }
		return []string{fmt.Sprintf("a member carries %s without and %s with the array (allowable level; roof live load dropped under modules with a small gap): %+.1f %%",
			l(f.Without), l(f.With), 100*f.Increase)}
	}
}

// framingMissing lists what a roof plan has to show of the framing and does not.
func framingMissing(c *terms.Call, p *job.Plane, b *job.Building) string {
	f := &p.Framing
	missing := []string{}
	want := func(known bool, name string) {
		if !known {
			missing = append(missing, name)
		}
	}
	want(terms.Stated(c, f.Member), "member")
	want(terms.Stated(c, f.Material), "material")
	want(terms.Stated(c, f.Runs), "direction")
	want(terms.Stated(c, f.Spacing) || terms.Stated(c, f.Positions), "spacing")
	want(terms.Stated(c, f.Span), "span")
	want(terms.Stated(c, f.Depth) && terms.Stated(c, f.Width), "size")
	want(terms.Stated(c, p.Slope), "roof slope")
	want(terms.Stated(c, b.RoofLayers), "number of roof layers")
	switch terms.Peek(c, f.Material) {
	case "wood":
		want(terms.Stated(c, f.Species) || terms.Stated(c, f.Gravity), "species")
		want(terms.Stated(c, f.Grade), "grade")
		want(terms.Stated(c, p.Covering.Sheathing), "deck thickness")
	case "steel":
		want(terms.Stated(c, f.Thickness), "thickness")
		want(terms.Stated(c, f.Tensile), "tensile strength")
	}
	return joinWords(missing)
}

// joinWords lists words as a sentence does.
func joinWords(words []string) string {
	out := ""
	for i, w := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			out += " and "
		default:
			out += ", "
		}
		out += w
	}
	return out
}

// sealedLetter reports whether a sealed structural letter is among the papers,
// which takes a roof out of the simple routes.
func sealedLetter(c *terms.Call, j *job.Job) bool {
	for _, d := range terms.Pointing(c, documentKind, func(x *job.Document) job.Text { return x.Kind }, "structural-letter") {
		if terms.Stated(c, d.Sealed) && terms.Peek(c, d.Sealed) {
			terms.Drive(c, d.Sealed)
			return true
		}
	}
	for _, d := range terms.Pointing(c, documentKind, func(x *job.Document) job.Text { return x.Kind }, "structural-letter") {
		terms.Get(c, d.Sealed)
	}
	return false
}
