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

var _ = terms.Derive(arrayKind, "framing_increase", terms.Quantity(quantity.Ratio), "load that the array adds to a roof member, over the load without it; roof live load dropped under modules where the gap is small; never under zero", "IBC 1607, IEBC 503", "load-increase",
	func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Building.RoofDeadLoad)
		f := framing(c, a)
		if c.Stop() {
			return 0
		}
		c.Explain(framingWork(f), nil)
		return math.Max(0, f.Increase)
	})

var _ = terms.Derive(arrayKind, "gravity_screen", terms.Quantity(quantity.Ratio), "share of added gravity load that asks for no check of existing framing", "IEBC 503.3", "load-increase",
	func(c *terms.Call, a *job.Array) float64 {
		f, s := framing(c, a), screens(c)
		if c.Stop() {
			return 0
		}
		r, err := s.GravityIncrease(f.Without, math.Max(0, f.With-f.Without))
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(func(quantity.System) []string { return r.Work() }, r.Refs)
		return r.Screen
	})

var _ = terms.Derive(planeKind, "framing_missing", terms.Word, "what the roof plan leaves out of its framing; empty when all is there", "IRC R324.4.1", "",
	func(c *terms.Call, p *job.Plane) string {
		terms.Drive(c, p.Framing.Member)
		return framingMissing(c, p, &c.Job().Building)
	})

var _ = terms.Derive(submittalKind, "sealed_letter", terms.YesNo, "whether a sealed structural letter is among its papers", "the job", "",
	func(c *terms.Call, j *job.Job) bool {
		sealed := sealedLetter(c, j)
		if c.Stop() {
			return false
		}
		return sealed
	})

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
