package loads

import (
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(arrayKind, "framing_increase", terms.Quantity(quantity.Ratio), "load that the array adds to a roof member that carries its even share, over the load without it; roof live load dropped under modules where the gap is small; below zero where the array relieves the member", "IBC 1607, IEBC 503", "load-increase",
	func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Building.RoofDeadLoad)
		f := framing(c, a)
		if c.Stop() {
			return 0
		}
		c.Explain(framingWork(f), nil)
		return f.Increase
	})

// existing is the existing building code of the edition of the building code,
// or of the residential code where that alone is adopted.
var existing = terms.Analyse(submittalKind, "existing building code", func(c *terms.Call, j *job.Job) *structural.Existing {
	edition := codeEdition(c, &j.Adoption)
	if c.Stop() {
		return nil
	}
	e, err := structural.NewExisting(edition, c.Tables())
	if err != nil {
		c.Err(err)
	}
	return e
})

// codeEdition is the edition of the building code, or of the residential code
// where that alone is adopted: both come out together.
func codeEdition(c *terms.Call, a *job.Adoption) string {
	if !terms.Stated(c, a.IBC) && terms.Stated(c, a.IRC) {
		return terms.Peek(c, a.IRC)
	}
	return terms.Get(c, a.IBC)
}

var gravityScreen = terms.Derive(submittalKind, "gravity_screen", terms.Quantity(quantity.Ratio), "share of added gravity load that asks for no check of existing framing", "IEBC 503.3", "load-increase",
	func(c *terms.Call, j *job.Job) float64 {
		e := existing.Of(c, j)
		if c.Stop() {
			return 0
		}
		c.Cite(e.Ref)
		return e.Gravity
	})

var _ = terms.Derive(submittalKind, "share_screen", terms.PlainNumber, "load of one member over its even share of the array from which it has to be shown to hold", "common practice", "", func(c *terms.Call, _ *job.Job) float64 {
	if s := screens(c); !c.Stop() {
		return s.MemberShare
	}
	return 0
})

var framingSettled = terms.Derive(arrayKind, "framing_settled", terms.YesNo, "whether a sealed letter about the framing under it, or an engineer's calculation of that framing, is in the submittal", "the job", "",
	func(c *terms.Call, a *job.Array) bool {
		if yes, known := framingEngineered.Try(c, a); known && yes {
			return true
		}
		return letterFor(c, a) || framingEngineered.Of(c, a)
	})

// ofArrays declares whether the framing of every array of a list is settled.
func ofArrays[T any](k terms.KindOf[T], meaning string, list func(c *terms.Call, x *T) []*job.Array) terms.TermOf[T, bool] {
	return terms.Derive(k, "framing_settled", terms.YesNo, meaning, "the job", "", func(c *terms.Call, x *T) bool {
		arrays := list(c, x)
		for _, a := range arrays {
			if !framingSettled.Of(c, a) {
				return false
			}
		}
		return len(arrays) > 0
	})
}

var _ = ofArrays(planeKind, "whether a sealed letter or an engineer's calculation covers its framing under every array on it", func(c *terms.Call, p *job.Plane) []*job.Array {
	return arrays.On(c, p.Name.Value)
})

var _ = ofArrays(submittalKind, "whether a sealed letter or an engineer's calculation covers the framing under every array", func(c *terms.Call, j *job.Job) []*job.Array { return arrayKind.All(c) })

var _ = terms.Derive(arrayKind, "members_hold", terms.YesNo, "whether every purlin or rafter under its feet is shown to hold gravity by calculation", "NDS chapters 3 and 4, maker's table", "member",
	func(c *terms.Call, a *job.Array) bool {
		p := arrays.PlaneOf(c, a)
		terms.Get(c, p.Framing.Member)
		if c.Stop() || !onBeams(c, p) {
			return false
		}
		for _, m := range framed.Of(c, p).members {
			if slices.Contains(m.arrays, a) && !structural.Meets(memberGravity.Of(c, m), 1) && !c.Stop() {
				return false
			}
		}
		return !c.Stop()
	})

// ofTable declares a span of the rafter tables, for the roof with more dead load
// than its own.
func ofTable(name, meaning string, more func(c *terms.Call, p *job.Plane) float64) terms.TermOf[job.Plane, float64] {
	return terms.Derive(planeKind, name, terms.Quantity(quantity.Length), meaning, "IRC R802.4.1, IBC 2308.7.2", "rafter-span", func(c *terms.Call, p *job.Plane) float64 {
		terms.Drive(c, p.Framing.Span)
		b, s := &c.Job().Building, &c.Job().Site
		l := lumberOf(c, p)
		spacing, dead, live, snow := c.Q(p.Framing.Spacing), c.Q(b.RoofDeadLoad)+more(c, p), c.Q(b.RoofLiveLoad), c.Q(s.GroundSnow)
		n, t := sawn(c), rafters.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		r, err := t.Span(n, l, spacing, dead, live, snow, false)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(r.Work, r.Refs)
		return r.Span
	})
}

var rafterSpan = ofTable("rafter_span", "largest span of its rafters by the method of the span tables, on the plan, for the roof as it is without the array", func(*terms.Call, *job.Plane) float64 { return 0 })

var rafterSpanUnder = ofTable("rafter_span_with_array", "largest span of its rafters by the method of the span tables, on the plan, with the heaviest array on it as dead load", func(c *terms.Call, p *job.Plane) float64 {
	heaviest := 0.0
	for _, a := range arrays.On(c, p.Name.Value) {
		heaviest = math.Max(heaviest, weightOnRoof(c, a))
	}
	return heaviest
})

// byTable is the exception of the existing building code for small dwellings
// that stay within the residential code.
var memberByTable = terms.Derive(Member, "by_table", terms.YesNo, "whether it is a rafter of a dwelling that spans no farther than the tables with the array as dead load, and every array on it has its feet staggered", "IEBC 503.3, IRC R802.4.1", "rafter-span",
	func(c *terms.Call, m *member) bool {
		p := m.frame.plane
		if !framedByTable(c, p) {
			return false
		}
		for _, a := range m.arrays {
			if arrays.Repeated.Of(c, a) > 0 {
				return false
			}
		}
		span, most := c.Q(p.Framing.Span), rafterSpanUnder.Of(c, p)
		return !c.Stop() && structural.Meets(span, most)
	})

// framedByTable reports whether a plane is of what the rafter tables are for.
func framedByTable(c *terms.Call, p *job.Plane) bool {
	return terms.Get(c, p.Framing.Member) == "rafter" && terms.Get(c, p.Framing.Material) == "wood" && terms.Get(c, c.Job().Building.Dwelling)
}

// rafters are the span tables of the residential code, or of the edition of the
// building code that has the same.
var rafters = terms.Analyse(submittalKind, "rafter span tables", func(c *terms.Call, j *job.Job) *structural.RafterTable {
	a := &j.Adoption
	edition := terms.Peek(c, a.IRC)
	if !terms.Stated(c, a.IRC) {
		edition = terms.Get(c, a.IBC)
	}
	if c.Stop() {
		return nil
	}
	t, err := structural.NewRafterTable(edition, c.Tables())
	if err != nil {
		c.Err(err)
	}
	return t
})

var _ = terms.Derive(planeKind, "framing_missing", terms.Word, "what the roof plan leaves out of its framing; empty when all is there", "IRC R324.4.1", "",
	func(c *terms.Call, p *job.Plane) string {
		terms.Drive(c, p.Framing.Member)
		return framingMissing(c, p, &c.Job().Building)
	})

var _ = terms.Derive(submittalKind, "sealed_letter", terms.YesNo, "whether a sealed structural letter is among its papers", "the job", "", sealedLetter)

// framing compares the load of one member with and without the array.
func framing(c *terms.Call, a *job.Array) structural.Framing {
	p, b := arrays.PlaneOf(c, a), &c.Job().Building
	dead, live, spacing, slope := c.Q(b.RoofDeadLoad), c.Q(b.RoofLiveLoad), c.Q(p.Framing.Spacing), c.Q(p.Slope)
	added, gap := weightOnRoof(c, a), c.Q(a.StandOff)
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
	design := snow.GoverningAllowable
	if terms.Stated(c, b.DesignSnow) {
		design = terms.Peek(c, b.DesignSnow).SI
	}
	f, err := structural.FramingLoad(dead, added, live*cos, design*cos, snow.GoverningAllowable*cos, spacing, offset)
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
		want(onMembers(c, p) || terms.Stated(c, p.Covering.Sheathing), "deck thickness")
	case "steel":
		want(terms.Stated(c, f.Thickness), "thickness")
		want(terms.Stated(c, f.Tensile), "tensile strength")
	}
	return joinWords(missing)
}

// onMembers reports whether a roof has no deck that could be shown: sheets span
// from purlin to purlin.
func onMembers(c *terms.Call, p *job.Plane) bool {
	sheet := slices.Contains([]string{"corrugated", "trapezoidal", "standing-seam"}, terms.Peek(c, p.Covering.Kind))
	return sheet && slices.Contains([]string{"purlin", "batten"}, terms.Peek(c, p.Framing.Member))
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
	return sealedAmong(c, terms.Pointing(c, documentKind, func(x *job.Document) job.Text { return x.Kind }, "structural-letter"))
}

// sealedAmong reports whether one of some papers is sealed.
func sealedAmong(c *terms.Call, papers []*job.Document) bool {
	for _, d := range papers {
		if terms.Stated(c, d.Sealed) && terms.Peek(c, d.Sealed) {
			terms.Drive(c, d.Sealed)
			return true
		}
	}
	for _, d := range papers {
		terms.Get(c, d.Sealed)
	}
	return false
}

// letterFor reports whether a sealed structural letter is about an array: one
// that belongs to another array or plane alone is not.
func letterFor(c *terms.Call, a *job.Array) bool {
	letters := terms.Pointing(c, documentKind, func(x *job.Document) job.Text { return x.Kind }, "structural-letter")
	letters = slices.DeleteFunc(letters, func(d *job.Document) bool { return terms.Stated(c, d.For) && elsewhere(c, a, terms.Peek(c, d.For)) })
	return sealedAmong(c, letters)
}

// elsewhere reports whether a name is that of another array or another plane.
func elsewhere(c *terms.Call, a *job.Array, name string) bool {
	if name == a.Name.Value || name == terms.Get(c, a.Plane) {
		return false
	}
	other := func(x string) bool { return x == name }
	return slices.ContainsFunc(arrayKind.All(c), func(x *job.Array) bool { return other(x.Name.Value) }) ||
		slices.ContainsFunc(planeKind.All(c), func(x *job.Plane) bool { return other(x.Name.Value) })
}
