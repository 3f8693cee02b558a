package structural

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Sawn is one edition of the National Design Specification as far as bending
// members of sawn lumber need it.
type Sawn struct {
	Edition string

	values, sizes *table.Table
	durations     map[string]float64
	ref           table.Ref
	factors       bendingFactors
}

type bendingFactors struct {
	repetitive, repetitiveSpacing float64
	wetBending, wetBendingLeast   float64
	wetShear, wetModulus          float64
	heldRatio                     float64
	unbracedShort, unbracedLong   float64
	unbracedSpan, unbracedDepth   float64
	buckling, slenderness         float64
	thinMost, thicknessMost       float64
}

// NewSawn reads an edition ("2015", "2018", "2024") from the tables.
func NewSawn(edition string, tables *table.Set) (*Sawn, error) {
	s := &source{set: tables, code: "NDS", edition: edition}
	t := s.table("bending")
	f := func(key string) float64 { return s.factor(t, key) }
	n := &Sawn{Edition: edition, values: s.table("design-values"), sizes: s.table("size-factors"), ref: t.Ref(""), factors: bendingFactors{
		f("repetitive"), f("repetitive-spacing"), f("wet-bending"), f("wet-bending-least"), f("wet-shear"), f("wet-modulus"),
		f("held-ratio"), f("unbraced-short"), f("unbraced-long"), f("unbraced-span"), f("unbraced-depth"), f("buckling"), f("slenderness"), f("thin-most"), f("thickness-most")}}
	d := s.table("duration")
	n.durations = map[string]float64{}
	for _, r := range d.Rows {
		n.durations[r.Key] = s.cell(d, r.Key, "factor")
	}
	return n, s.err()
}

// Duration gives CD of a load: permanent, normal, snow, roof-live, wind, seismic.
func (n *Sawn) Duration(load string) float64 { return n.durations[load] }

// RepetitiveSpacing is the largest spacing of members that share load, m.
func (n *Sawn) RepetitiveSpacing() float64 { return n.factors.repetitiveSpacing }

// HeldByEnds reports whether lumber is shallow enough, by its nominal size, to
// need nothing that holds its lower edge between its ends (4.4.1).
func (n *Sawn) HeldByEnds(l Lumber) bool {
	nominal := func(v float64) float64 { return math.Ceil(v/quantity.Inch - epsilon) }
	return nominal(l.Depth) <= n.factors.heldRatio*nominal(l.Width)
}

// Lumber is a rectangular member of sawn lumber as it lies in the roof.
type Lumber struct {
	Species, Grade string
	Width, Depth   float64 // of the face that takes the load, and at a right angle to it, m
	Bending        float64 // reference Fb before any factor, Pa; 0: by species, grade and size
	Wet            bool
	Repetitive     bool // the deck makes at least three of them act together
	Even           bool // the load is spread evenly over the span, as that of feet is not
}

// OnFlat reports whether the wide face takes the load.
func (l Lumber) OnFlat() bool { return l.Width > l.Depth }

// SectionModulus is that against the load, m3.
func (l Lumber) SectionModulus() float64 { return l.Width * l.Depth * l.Depth / 6 }

// Inertia is the moment of inertia against the load, m4.
func (l Lumber) Inertia() float64 { return l.Width * l.Depth * l.Depth * l.Depth / 12 }

// BendingStrength is what a member of lumber holds, allowable level, with all
// it was made from. Pa, N m, N, N m2.
type BendingStrength struct {
	Lumber
	Reference, CD, CM, CL, CF, Cfu, Cr float64
	Fb, Fv, E                          float64 // adjusted
	Moment, Shear, Stiffness           float64
	Refs                               []table.Ref
}

// spellings of grades and species as plans write them.
var lumberWords = strings.NewReplacer("no.2", "no. 2", "no.1", "no. 1", "no.3", "no. 3", "#", "no. ", "no 1", "no. 1", "no 2", "no. 2", "no 3", "no. 3", "no. 1 & better", "no. 1 and better", "no. 1 & btr", "no. 1 and better",
	"southern yellow pine", "southern pine", "df-l", "douglas fir-larch", "spf-s", "spruce-pine-fir (south)", "spf", "spruce-pine-fir", "no. 1/no. 2", "no. 2")

// lumberKey names a row of the design values.
func lumberKey(species, grade string) string {
	s := lumberWords.Replace(strings.Join(strings.Fields(strings.ToLower(species)), " "))
	g := lumberWords.Replace(strings.Join(strings.Fields(strings.ToLower(grade)), " "))
	return s + " " + g
}

// row finds the design values of lumber and the factors of its size.
func (n *Sawn) row(l Lumber) (key string, size, flat float64, err error) {
	thin, wide := min(l.Width, l.Depth), max(l.Width, l.Depth)
	if !Meets(thin, n.factors.thicknessMost) {
		return "", 0, 0, fmt.Errorf("the design values reach lumber up to %.3g in thick; this is %.3g in", n.factors.thicknessMost/quantity.Inch, thin/quantity.Inch)
	}
	columns := [2]string{"size", "flat"}
	if !Meets(thin, n.factors.thinMost) {
		columns = [2]string{"size-thick", "flat-thick"}
	}
	for _, r := range n.sizes.Rows {
		most, _ := n.sizes.Quantity(r.Key, "most")
		if !Meets(wide, most) {
			continue
		}
		size, _ = n.sizes.Number(r.Key, columns[0])
		flat, _ = n.sizes.Number(r.Key, columns[1])
		break
	}
	if size == 0 {
		return "", 0, 0, fmt.Errorf("no size factor is known for lumber %.3g in wide", wide/quantity.Inch)
	}
	key = lumberKey(l.Species, l.Grade)
	if n.values.Has(key) {
		return key, size, flat, nil
	}
	sized := fmt.Sprintf("%s %g", key, math.Round(100*wide/quantity.Inch)/100)
	if n.values.Has(sized) {
		return sized, 1, flat, nil // its value is of this size
	}
	return "", 0, 0, fmt.Errorf("no design values are known for %s, %s, %.3g by %.3g in", l.Species, l.Grade, thin/quantity.Inch, wide/quantity.Inch)
}

// Bending computes what lumber holds in bending and shear for a load of a
// duration CD. unbraced is the length of the edge in compression that nothing
// holds sideways, m; 0 where a deck or sheet holds it.
func (n *Sawn) Bending(l Lumber, duration, unbraced float64) (BendingStrength, error) {
	if err := positive("width", l.Width, "depth", l.Depth, "load duration factor", duration); err != nil {
		return BendingStrength{}, err
	}
	key, size, flat, err := n.row(l)
	if err != nil {
		return BendingStrength{}, err
	}
	b := BendingStrength{Lumber: l, CD: duration, CM: 1, CL: 1, CF: size, Cfu: 1, Cr: 1, Refs: []table.Ref{n.values.Ref(key), n.sizes.Ref(""), n.ref}}
	f := &n.factors
	cell := func(column string) float64 { v, _ := n.values.Quantity(key, column); return v }
	b.Reference, b.Fv, b.E = cell("bending"), cell("shear")*duration, cell("modulus")
	stability := cell("stability-modulus")
	if l.Bending > 0 {
		b.Reference = l.Bending
	}
	if l.Wet {
		b.Fv, b.E, stability = b.Fv*f.wetShear, b.E*f.wetModulus, stability*f.wetModulus
		if b.Reference*b.CF > f.wetBendingLeast {
			b.CM = f.wetBending
		}
	}
	if l.OnFlat() {
		b.Cfu = flat
	}
	if l.Repetitive && !l.OnFlat() {
		b.Cr = f.repetitive
	}
	b.Fb = b.Reference * b.CD * b.CM * b.CF * b.Cr
	if b.CL, err = n.stability(l, b.Fb, stability, unbraced); err != nil {
		return BendingStrength{}, err
	}
	b.Fb *= b.CL * b.Cfu
	b.Moment, b.Shear, b.Stiffness = b.Fb*l.SectionModulus(), b.Fv*l.Width*l.Depth/1.5, b.E*l.Inertia()
	return b, nil
}

// stability gives CL. A member that is no deeper than wide cannot roll over.
func (n *Sawn) stability(l Lumber, bending, modulus, unbraced float64) (float64, error) {
	f := &n.factors
	if unbraced == 0 || Meets(l.Depth, l.Width) {
		return 1, nil
	}
	effective := f.unbracedSpan*unbraced + f.unbracedDepth*l.Depth
	if !l.Even {
		effective = max(effective, f.unbracedLong*unbraced)
	}
	effective = min(effective, f.unbracedShort*unbraced)
	ratio := math.Sqrt(effective * l.Depth / (l.Width * l.Width))
	if ratio > f.slenderness {
		return 0, fmt.Errorf("the edge in compression is held nowhere over %.3g ft: slenderness %.0f, more than %.0f", unbraced/quantity.Foot, ratio, f.slenderness)
	}
	x := f.buckling * modulus / (ratio * ratio) / bending
	half := (1 + x) / 1.9
	return half - math.Sqrt(half*half-x/0.95), nil
}

// Work gives the strength with numbers put in.
func (b BendingStrength) Work(sys quantity.System) []string {
	p := func(v float64) string { return show(sys, v, quantity.Pressure) }
	lies := "on edge"
	if b.OnFlat() {
		lies = "flat"
	}
	return []string{fmt.Sprintf("%s %s, %s by %s, %s: Fb' = %s x CD %.2f x CM %.2f x CL %.2f x CF %.2f x Cfu %.2f x Cr %.2f = %s, moment %s; Fv' = %s, shear %s",
		b.Species, b.Grade, show(sys, b.Width, quantity.Length), show(sys, b.Depth, quantity.Length), lies, p(b.Reference), b.CD, b.CM, b.CL, b.CF, b.Cfu, b.Cr, p(b.Fb),
		show(sys, b.Moment, quantity.Torque), p(b.Fv), show(sys, b.Shear, quantity.Force))}
}

// RafterTable is one edition of the rafter span tables of the residential code:
// what they are made for.
type RafterTable struct {
	live, spacingMost, spanMost float64
	snows, deads                []float64
	deflection, ceiling         float64 // shares of the span that it may sag, without and with a ceiling on the rafters
	own                         *table.Table
	ref                         table.Ref
}

// NewRafterTable reads an edition ("2012" to "2024") from the tables.
func NewRafterTable(edition string, tables *table.Set) (*RafterTable, error) {
	s := &source{set: tables, code: "IRC", edition: edition}
	t := s.table("rafter-span")
	f := func(key string) float64 { return s.factor(t, key) }
	r := &RafterTable{live: f("live"), spacingMost: f("spacing-most"), spanMost: f("span-most"), snows: []float64{f("snow-light"), f("snow-middle"), f("snow-heavy")},
		deads: []float64{f("dead-light"), f("dead-heavy")}, deflection: f("deflection"), ceiling: f("deflection-ceiling"), own: t, ref: t.Ref("")}
	return r, s.err()
}

// RafterSpan is the largest span of a rafter, on the plan, m.
type RafterSpan struct {
	Span       float64
	Dead, Load float64 // those of the table, Pa
	Snow       bool
	Governs    string
	Strength   BendingStrength
	Refs       []table.Ref
}

// Span gives the span of the tables for lumber on edge at a spacing (m) with
// dead load, roof live load and ground snow in Pa: those of the next heavier
// table. ceiling: one hangs from the rafters. The spans follow from the design
// values by bending and by the deflection under live load or snow, which is how
// the tables were made.
func (r *RafterTable) Span(n *Sawn, l Lumber, spacing, dead, live, snow float64, ceiling bool) (RafterSpan, error) {
	if err := positive("spacing", spacing); err != nil {
		return RafterSpan{}, err
	}
	if !Meets(spacing, r.spacingMost) {
		return RafterSpan{}, &ScopeError{"the rafter span tables", []string{"rafters more than 24 in apart"}}
	}
	out := RafterSpan{Load: r.live, Refs: []table.Ref{r.ref}}
	next := func(steps []float64, v float64) float64 {
		for _, s := range steps {
			if Meets(v, s) {
				return s
			}
		}
		return 0
	}
	if out.Dead = next(r.deads, dead); out.Dead == 0 {
		return RafterSpan{}, &ScopeError{"the rafter span tables", []string{"a dead load above their heaviest"}}
	}
	if !Meets(live, r.live) {
		return RafterSpan{}, &ScopeError{"the rafter span tables", []string{"a roof live load above theirs"}}
	}
	load := "roof-live"
	if !Meets(snow, r.live) {
		if out.Load, out.Snow = next(r.snows, snow), true; out.Load == 0 {
			return RafterSpan{}, &ScopeError{"the rafter span tables", []string{"a ground snow load above their heaviest"}}
		}
		load = "snow"
	}
	key := lumberKey(l.Species, l.Grade)
	if own, ok := r.own.Quantity(key, "value"); ok && l.Bending == 0 {
		l.Bending = own
		out.Refs = append(out.Refs, r.own.Ref(key))
	}
	l.Repetitive = true
	duration, ok := n.durations[load]
	if !ok {
		return RafterSpan{}, fmt.Errorf("no load duration factor for %s", load)
	}
	var err error
	if out.Strength, err = n.Bending(l, duration, 0); err != nil {
		return RafterSpan{}, err
	}
	sag := r.deflection
	if ceiling {
		sag = r.ceiling
	}
	bending := math.Sqrt(8 * out.Strength.Moment / ((out.Dead + out.Load) * spacing))
	deflection := math.Cbrt(384 * out.Strength.Stiffness / (5 * sag * out.Load * spacing))
	out.Span, out.Governs = bending, "bending"
	if deflection < bending {
		out.Span, out.Governs = deflection, "deflection"
	}
	if out.Span > r.spanMost {
		out.Span, out.Governs = r.spanMost, "the longest rafter of the tables"
	}
	out.Refs = append(out.Refs, out.Strength.Refs...)
	return out, nil
}

// Work gives the span with numbers put in.
func (r RafterSpan) Work(sys quantity.System) []string {
	what := "roof live load"
	if r.Snow {
		what = "ground snow"
	}
	return append(r.Strength.Work(sys), fmt.Sprintf("dead load %s, %s %s of the tables: span %s by %s", show(sys, r.Dead, quantity.Pressure), what, show(sys, r.Load, quantity.Pressure), show(sys, r.Span, quantity.Length), r.Governs))
}
