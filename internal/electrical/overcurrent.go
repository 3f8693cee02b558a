package electrical

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
)

// Device is a kind of overcurrent device.
type Device string

const (
	Fuse    Device = "fuse"
	Breaker Device = "breaker"
)

// ratings calls visit with the standard ratings of a kind, from small to
// large, until it returns false.
func (r *reader) ratings(kind Device, visit func(row string, rating float64) bool) {
	if kind != Fuse && kind != Breaker {
		r.fail(outside("device %q is neither fuse nor breaker", kind))
	}
	t := r.table(tableStandard)
	if t == nil {
		return
	}
	for _, row := range t.Rows {
		forKind, _ := t.Text(row.Key, "kind")
		if a, ok := t.Quantity(row.Key, "rating"); ok && (forKind == "both" || forKind == string(kind)) && !visit(row.Key, a) {
			return
		}
	}
}

// StandardOvercurrent is the smallest standard rating for a current.
type StandardOvercurrent struct {
	Basis
	Current float64 // A
	Kind    Device
	Rating  float64 // A
}

// StandardOvercurrent gives the smallest standard rating that is not less than
// a current in A. Source: NEC 240.6(A).
func (c *Code) StandardOvercurrent(current float64, kind Device) (StandardOvercurrent, error) {
	r := c.reader()
	r.need("the current", current)
	s := StandardOvercurrent{Current: current, Kind: kind, Rating: r.nextStandard(current, kind)}
	s.Basis = r.basis()
	return s, r.err
}

func (r *reader) nextStandard(current float64, kind Device) float64 {
	found := math.NaN()
	r.ratings(kind, func(row string, rating float64) bool {
		if !quantity.AtLeast(rating, current) {
			return true
		}
		found = rating
		r.use(r.table(tableStandard), row)
		return false
	})
	if r.err == nil && math.IsNaN(found) {
		r.fail(outside("no standard %s is rated %s or more", kind, amps(current)))
	}
	return found
}

// IsStandard reports whether a rating in A is a standard one. Source: NEC
// 240.6(A).
func (c *Code) IsStandard(rating float64, kind Device) (bool, error) {
	r := c.reader()
	r.need("the rating", rating)
	is := false
	r.ratings(kind, func(_ string, a float64) bool {
		is = is || quantity.Near(a, rating)
		return !is
	})
	return is, r.err
}

// Work gives the calculation.
func (s StandardOvercurrent) Work(quantity.System) []string {
	return []string{fmt.Sprintf("smallest standard %s not below %s: %s", s.Kind, amps(s.Current), amps(s.Rating))}
}

// Protection is the largest overcurrent device that may protect conductors.
type Protection struct {
	Basis
	Ampacity float64 // A
	Small    float64 // A, the limit of a small conductor; NaN where there is none
	Largest  float64 // A
	Rule     string  // section that decides
}

// Protection gives the largest standard device for conductors of a size whose
// ampacity after conditions of use is given in A: the next standard rating up
// to 800 A, above that the rating not over the ampacity, and for small
// conductors never more than their own limit. Source: NEC 240.4(B), (C), (D).
func (c *Code) Protection(size quantity.Size, m Material, ampacity float64) (Protection, error) {
	r := c.reader()
	r.failIf(m.check())
	r.need("the ampacity", ampacity)
	p := Protection{Ampacity: ampacity, Small: math.NaN(), Rule: "240.4(B)"}
	limit := r.amount(tableNextSize, "next size up to")
	if r.err != nil {
		return p, r.err
	}
	if quantity.AtMost(ampacity, limit) {
		p.Largest = r.nextStandard(ampacity, Breaker)
	} else {
		p.Rule = "240.4(C)"
		r.ratings(Breaker, func(_ string, rating float64) bool {
			if quantity.AtMost(rating, ampacity) {
				p.Largest = rating
			}
			return quantity.AtMost(rating, ampacity)
		})
	}
	small := r.table(tableSmallConductor)
	if small != nil {
		if a, ok := small.Quantity(size.Key(), string(m)); ok {
			r.use(small, size.Key())
			if p.Small = a; a < p.Largest {
				p.Largest, p.Rule = a, "240.4(D)"
			}
		}
	}
	p.Basis = r.basis()
	return p, r.err
}

// Work gives the calculation.
func (p Protection) Work(quantity.System) []string {
	return []string{fmt.Sprintf("largest overcurrent device for an ampacity of %s by %s: %s", amps(p.Ampacity), p.Rule, amps(p.Largest))}
}

// StringFuseInput asks whether like strings in parallel need fuses.
type StringFuseInput struct {
	ShortCircuit       float64 // rated short-circuit current of one string with any gain from the rear, A
	Strings            int     // in parallel, one or more
	MaximumOvercurrent float64 // A, largest device that the module or the converter allows
	Ampacity           float64 // A, smallest ampacity of the string's conductors; NaN where it is not looked at
}

// StringFuse is whether a string among parallel strings needs a fuse, and
// which.
type StringFuse struct {
	Basis
	Input          StringFuseInput
	Irradiance     float64 // the code's factor for irradiance
	Continuous     float64 // the code's factor on the maximum current
	Backfeed       float64 // A, from the other strings
	Limit          float64 // A, the smaller of what the equipment and the conductors bear
	ByConductors   bool    // whether the conductors set that limit
	Required       bool    // whether the backfeed exceeds the limit
	RequiredRating float64 // A
	Rating         float64 // A, the smallest standard fuse; NaN where even that exceeds the equipment's maximum
	Exists         bool    // whether a fuse is large enough for the string and small enough for its equipment
}

// StringFuse decides whether one of like strings in parallel needs its own
// fuse: the others drive (strings - 1) times the maximum circuit current into
// a fault in it. The fuse may be left out where that current is within both
// the largest device that the module or converter allows and the ampacity of
// the string's conductors. A fuse carries the continuous factor on the maximum
// current and does not exceed that largest device. Source: NEC 690.9(A) and
// (B), 690.8(A), 240.6(A).
func (c *Code) StringFuse(in StringFuseInput) (StringFuse, error) {
	r := c.reader()
	r.need("the short-circuit current", in.ShortCircuit)
	r.needCount("the count of strings", in.Strings)
	r.need("the maximum series fuse", in.MaximumOvercurrent)
	f := StringFuse{Input: in, Limit: in.MaximumOvercurrent}
	if !math.IsNaN(in.Ampacity) {
		r.need("the ampacity of the conductors", in.Ampacity)
		if f.ByConductors = !quantity.AtLeast(in.Ampacity, f.Limit); f.ByConductors {
			f.Limit = in.Ampacity
		}
	}
	f.Irradiance = r.value(tableCurrent, "irradiance")
	f.Continuous = r.value(tableStringOvercurrent, "rating factor")
	f.Backfeed = r.rounded(float64(in.Strings-1) * in.ShortCircuit * f.Irradiance)
	f.Required = !quantity.AtMost(f.Backfeed, f.Limit)
	f.RequiredRating = r.rounded(in.ShortCircuit * f.Irradiance * f.Continuous)
	f.Rating = r.nextStandard(f.RequiredRating, Fuse)
	if f.Exists = quantity.AtMost(f.Rating, in.MaximumOvercurrent); !f.Exists {
		f.Rating = math.NaN()
	}
	f.Basis = r.basis()
	return f, r.err
}

// Work gives the calculation.
func (f StringFuse) Work(quantity.System) []string {
	in, need := f.Input, "no fuse is needed"
	if f.Required {
		need = "each string needs a fuse"
	}
	lines := []string{fmt.Sprintf("backfeed from %d other strings = %d x %s x %s = %s", in.Strings-1, in.Strings-1, amps(in.ShortCircuit), factor(f.Irradiance), amps(f.Backfeed))}
	switch {
	case math.IsNaN(in.Ampacity):
		lines = append(lines, fmt.Sprintf("the maximum series fuse is %s: %s", amps(f.Limit), need))
	case f.ByConductors:
		lines = append(lines, fmt.Sprintf("the conductors carry %s, less than the maximum series fuse of %s, and govern: %s", amps(f.Limit), amps(in.MaximumOvercurrent), need))
	default:
		lines = append(lines, fmt.Sprintf("the maximum series fuse of %s governs; the conductors carry %s: %s", amps(f.Limit), amps(in.Ampacity), need))
	}
	lines = append(lines, fmt.Sprintf("least rating = %s x %s x %s = %s", amps(in.ShortCircuit), factor(f.Irradiance), factor(f.Continuous), amps(f.RequiredRating)))
	if !f.Exists {
		return append(lines, fmt.Sprintf("no standard fuse lies between %s and %s", amps(f.RequiredRating), amps(in.MaximumOvercurrent)))
	}
	return append(lines, fmt.Sprintf("smallest standard fuse = %s", amps(f.Rating)))
}
