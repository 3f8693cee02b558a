package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// deadLoad is the weight of modules and mounting per area of the slope.
func (c *Call) deadLoad(a *job.Array) float64 {
	Get(c, a.Module)
	Get(c, a.Mounting)
	total := 0.0
	if t, ok := c.m.Job.ModuleOf(a); ok {
		weight, length, width := c.Q(t.Weight), c.Q(t.Length), c.Q(t.Width)
		if length > 0 && width > 0 {
			total += weight * quantity.StandardGravity / (length * width)
		}
	}
	if t, ok := c.m.Job.MountingOf(a); ok {
		total += c.Q(t.Weight)
	}
	return total
}

// roofSnow computes the balanced snow load of the plane under an array by the
// adopted edition. The surface is not counted as slippery: snow guards, arrays
// below and rails stop it, and the larger load is the safe one.
func (c *Call) roofSnow(p *job.Plane) structural.RoofSnow {
	s := &c.m.Job.Site
	ground, edition := c.Q(s.GroundSnow), Get(c, s.GroundSnowEdition)
	in := structural.Snow{Ground: ground, Exposure: Get(c, s.SnowExposure), Thermal: Get(c, s.SnowThermal), Risk: Get(c, s.RiskCategory), Slope: c.Q(p.Slope),
		Importance: math.NaN(), Run: c.snowRun(p)}
	w := c.asce()
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
func (c *Call) snowRun(p *job.Plane) float64 {
	outline, downslope := Get(c, p.Outline), c.Q(p.Downslope)
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
func (c *Call) snowLoad(a *job.Array) float64 {
	r := c.roofSnow(c.planeOf(a))
	return math.Max(r.Sloped+r.RainOnSnow, r.Minimum)
}

// gravityState is the downward demand on the feet of one array.
type gravityState struct {
	snow    structural.RoofSnow
	demands []structural.Demand
	loads   structural.ArrayLoads
	needs   []Need
	refs    []table.Ref
}

// gravity computes the feet of an array with its snow. The snow is looked up
// apart from the wind, so that uplift does not wait for it.
func (m *Model) gravity(a *job.Array) *gravityState {
	return shared(m, "gravity/"+a.Name.Value, func() *gravityState {
		c := &Call{m: m, subject: m.subjectOf("array", a)}
		g := &gravityState{}
		w, _ := c.windOf(a)
		g.snow = c.roofSnow(c.planeOf(a))
		snow := c.snowLoad(a)
		if !c.Stop() {
			g.demands, g.loads = c.withSnow(w, snow)
		}
		g.refs = append(append(g.refs, w.refs...), g.snow.Refs...)
		g.needs = c.out.Needs
		return g
	})
}

func (c *Call) withSnow(w *windState, snow float64) ([]structural.Demand, structural.ArrayLoads) {
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
func (c *Call) downslope(a *job.Array, d *structural.Demand) (load float64, duration string) {
	total, dead := d.DownslopeASD, d.DeadDownslope
	if total <= dead {
		return dead, "permanent"
	}
	f, ok := c.m.Job.FastenerOf(a)
	if !ok || f.Kind.Value != "lag" {
		return total, "snow"
	}
	n := c.nds()
	if c.Stop() {
		return total, "snow"
	}
	if dead/c.duration(n, "permanent") > total/c.duration(n, "snow") {
		return dead, "permanent"
	}
	return total, "snow"
}

// seismic computes the horizontal force of the mass on the foot that carries
// most. The array stands on the roof, so it is at the full height.
func (c *Call) seismic(a *job.Array) structural.SeismicForce {
	s := &c.m.Job.Site
	sds, importance := Get(c, s.SDS), Get(c, s.ComponentImport)
	dead := c.deadLoad(a)
	l := c.footed(a)
	w := c.asce()
	if c.Stop() {
		return structural.SeismicForce{}
	}
	most := 0.0
	for _, area := range l.areas {
		most = math.Max(most, area)
	}
	in := structural.NewSeismic(sds, dead*most, importance, 1)
	if _, inside := w.Kd(); !inside { // the edition that moved Kd also changed the form of Fp
		in.Resonance, in.Strength = Get(c, s.ComponentCAR), Get(c, s.ComponentStrength)
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
func (c *Call) framing(a *job.Array) structural.Framing {
	p, b := c.planeOf(a), &c.m.Job.Building
	dead, live, spacing, slope := c.Q(b.RoofDeadLoad), c.Q(b.RoofLiveLoad), c.Q(p.Framing.Spacing), c.Q(p.Slope)
	added, gap := c.deadLoad(a), c.Q(a.StandOff)
	snow := c.roofSnow(p)
	s := c.screens()
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
func framingMissing(p *job.Plane, b *job.Building) string {
	f := &p.Framing
	missing := []string{}
	want := func(known bool, name string) {
		if !known {
			missing = append(missing, name)
		}
	}
	want(f.Member.Known, "member")
	want(f.Material.Known, "material")
	want(f.Runs.Known, "direction")
	want(f.Spacing.Known || f.Positions.Known, "spacing")
	want(f.Span.Known, "span")
	want(f.Depth.Known && f.Width.Known, "size")
	want(p.Slope.Known, "roof slope")
	want(b.RoofLayers.Known, "number of roof layers")
	switch f.Material.Value {
	case "wood":
		want(f.Species.Known || f.Gravity.Known, "species")
		want(f.Grade.Known, "grade")
		want(p.Covering.Sheathing.Known, "deck thickness")
	case "steel":
		want(f.Thickness.Known, "thickness")
		want(f.Tensile.Known, "tensile strength")
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
func (c *Call) sealedLetter(j *job.Job) bool {
	for _, d := range j.DocumentsOf("structural-letter") {
		if d.Sealed.Known && d.Sealed.Value {
			c.Drive(d.Sealed.At)
			return true
		}
	}
	for _, d := range j.DocumentsOf("structural-letter") {
		Get(c, d.Sealed)
	}
	return false
}
